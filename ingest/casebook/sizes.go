package casebook

// How many words each vocabulary has, "not recorded" left out. An array indexed
// by a word, where 0 is "not recorded", has one place more:
//
//	var sums [casebook.StyleCount + 1]float64
//
// Everything else that depends on these numbers takes them from here, so that
// a word added to its table makes what is missing elsewhere fail, in a test or
// in the compiler.
const (
	UnitCount         = int(endUnit) - 1
	AxisCount         = int(endAxis) - 1
	DirectionCount    = int(endDirection) - 1
	StyleCount        = int(endStyle) - 1
	ShapeCount        = int(endShape) - 1
	OrientationCount  = int(endOrientation) - 1
	StagingCount      = int(endStaging) - 1
	StatusCount       = int(endStatus) - 1
	WearCount         = int(endWear) - 1
	TimingCount       = int(endTiming) - 1
	MethodCount       = int(endMethod) - 1
	ConfirmationCount = int(endConfirmation) - 1
	AgeBandCount      = int(endAgeBand) - 1
	NotationCount     = int(endNotation) - 1
	ArchCount         = int(endArch) - 1
	ToothClassCount   = int(endToothClass) - 1
	KindCount         = int(endKind) - 1
	SeverityCount     = int(endSeverity) - 1
)

// Teeth of a full permanent dentition, and of one quadrant (ISO 3950).
const (
	QuadrantCount = 4
	QuadrantTeeth = 8
	ToothCount    = QuadrantCount * QuadrantTeeth
)

// NotRecorded stands for a missing word where a text is needed, as the key of a
// map or in a list of groups. It holds characters that no word of a vocabulary
// and no code can hold (values.Code removes them), so that it collides with
// neither; what people read says "not recorded".
const NotRecorded = "\x00not recorded"
