package casebook

// Sum is what the movements of one case come to that share course stratum, tooth, axis,
// direction and style. Planned is positive and achieved is measured along the planned
// direction, both in the unit of the axis.
type Sum struct {
	Case      CaseKey
	Again     bool  // of a refinement
	Tooth     Tooth // 0: all
	Axis      Axis
	Direction Direction
	Style     Style

	Movements int
	Planned   float64
	Achieved  float64
	Error     float64 // of |achieved - planned|
	Miss      float64 // of |planned - achieved| / planned
	Product   float64 // of planned x achieved
	Square    float64 // of planned squared
	Judged    int     // with a plan beyond the tolerance
	Outside   int     // of them, ended beyond it
	// SmallOutside are those that ended beyond the tolerance of a plan within it.
	SmallOutside int
}

// Quartiles of achieved over planned, over all movements of one axis, direction and course
// stratum (quantiles by linear interpolation of the order statistics: Hyndman & Fan 1996,
// Am Stat 50:361-365, definition 7).
type Quartiles struct {
	Again     bool
	Axis      Axis
	Direction Direction
	Movements int
	Lower     float64
	Median    float64
	Upper     float64
}

// Sums of a database.
type Sums struct {
	Cases     []Sum // by case
	Quartiles []Quartiles
}

// SumsOf says which movements are summed: those with a measured outcome, a plan of the
// smallest meaningful amount at least, and a course of whose aligners the least share was
// used or its use not recorded; and beyond which tolerance one ended outside.
type SumsOf struct {
	SmallestMM, SmallestDeg   float64
	ToleranceMM, ToleranceDeg float64
	MinAlignersUsed           float64
	// AllTeeth asks for sums over all teeth, Tooth being 0: fewer of them travel.
	AllTeeth bool
}
