package casebook

// Style says who designed the bonded feature on a tooth.
type Style uint8

// The three styles. NoStyle means "not recorded", which is not StyleNone
// ("no feature was bonded").
const (
	NoStyle Style = iota
	StyleNone
	SoftwareSuggested
	ClinicianDesigned
	endStyle
)

var styleNames = names{"", "none", "software-suggested", "clinician-designed"}

// Styles lists the three styles in print order.
func Styles() []Style { return all[Style](styleNames) }

// ParseStyle reads the name of a style.
func ParseStyle(s string) (Style, error) {
	i, err := styleNames.index("feature style", s)
	return Style(i), err
}

func (s Style) String() string { return styleNames.text(uint8(s)) }

// MarshalText writes the name of the style.
func (s Style) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the name of the style.
func (s *Style) UnmarshalText(b []byte) (err error) { *s, err = ParseStyle(string(b)); return err }

// Shape of the bonded attachment, by plain geometry. Sheets have many words for
// each; those of a sheet stay with its records.
type Shape uint8

// The shapes a record can name.
const (
	NoShape Shape = iota
	Block
	Wedge
	Oval
	Dome
	Pair // two bonded together on one tooth
	OtherShape
	endShape
)

var shapeNames = names{"", "block", "wedge", "oval", "dome", "pair", "other"}

// Shapes lists the shapes in print order.
func Shapes() []Shape { return all[Shape](shapeNames) }

// ParseShape reads the name of a shape.
func ParseShape(s string) (Shape, error) {
	i, err := shapeNames.index("feature shape", s)
	return Shape(i), err
}

func (s Shape) String() string { return shapeNames.text(uint8(s)) }

// MarshalText writes the name of the shape.
func (s Shape) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// formerShapes are the words of results that were saved before the present ones.
var formerShapes = map[string]Shape{"rectangular": Block, "bevelled": Wedge, "ellipsoid": Oval, "hemisphere": Dome}

// UnmarshalText reads the name of the shape, a former one too.
func (s *Shape) UnmarshalText(b []byte) (err error) {
	if former, ok := formerShapes[string(b)]; ok {
		*s = former
		return nil
	}
	*s, err = ParseShape(string(b))
	return err
}

// Orientation of the attachment's long edge on the crown.
type Orientation uint8

// The orientations a record can name.
const (
	NoOrientation Orientation = iota
	VerticalFace
	HorizontalFace
	ObliqueFace
	endOrientation
)

var orientationNames = names{"", "vertical", "horizontal", "oblique"}

// Orientations lists the orientations in print order.
func Orientations() []Orientation { return all[Orientation](orientationNames) }

// ParseOrientation reads the name of an orientation.
func ParseOrientation(s string) (Orientation, error) {
	i, err := orientationNames.index("feature orientation", s)
	return Orientation(i), err
}

func (o Orientation) String() string { return orientationNames.text(uint8(o)) }

// MarshalText writes the name of the orientation.
func (o Orientation) MarshalText() ([]byte, error) { return []byte(o.String()), nil }

// UnmarshalText reads the name of the orientation.
func (o *Orientation) UnmarshalText(b []byte) (err error) {
	*o, err = ParseOrientation(string(b))
	return err
}

// Staging says whether the movements of one tooth were asked for together.
type Staging uint8

// Combined: several movements of the tooth at once. Sequenced: one after another.
const (
	NoStaging Staging = iota
	Combined
	Sequenced
	endStaging
)

var stagingNames = names{"", "combined", "sequenced"}

// Stagings lists the two ways of staging.
func Stagings() []Staging { return all[Staging](stagingNames) }

// ParseStaging reads "combined" or "sequenced".
func ParseStaging(s string) (Staging, error) {
	i, err := stagingNames.index("staging", s)
	return Staging(i), err
}

func (s Staging) String() string { return stagingNames.text(uint8(s)) }

// MarshalText writes the name of the staging.
func (s Staging) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the name of the staging.
func (s *Staging) UnmarshalText(b []byte) (err error) { *s, err = ParseStaging(string(b)); return err }

// Status of a case in the case log.
type Status uint8

// Every started case has one of these; an audit of completed cases alone is a
// biased sample, so the log carries the others too.
const (
	NoStatus Status = iota
	Completed
	Discontinued
	Switched
	Transferred
	UnderTreatment
	endStatus
)

var statusNames = names{
	"", "completed", "discontinued", "switched to another appliance", "transferred", "under treatment",
}

// Statuses lists the case statuses in print order.
func Statuses() []Status { return all[Status](statusNames) }

// ParseStatus reads the name of a status.
func ParseStatus(s string) (Status, error) {
	i, err := statusNames.index("case status", s)
	return Status(i), err
}

func (s Status) String() string { return statusNames.text(uint8(s)) }

// MarshalText writes the name of the status.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the name of the status.
func (s *Status) UnmarshalText(b []byte) (err error) { *s, err = ParseStatus(string(b)); return err }

// Wear is the clinician's rating of how well the aligners were worn.
type Wear uint8

// The three ratings.
const (
	NoWear Wear = iota
	WearGood
	WearFair
	WearPoor
	endWear
)

var wearNames = names{"", "good", "fair", "poor"}

// Wears lists the wear ratings.
func Wears() []Wear { return all[Wear](wearNames) }

// ParseWear reads a wear rating.
func ParseWear(s string) (Wear, error) {
	i, err := wearNames.index("wear rating", s)
	return Wear(i), err
}

func (w Wear) String() string { return wearNames.text(uint8(w)) }

// MarshalText writes the rating.
func (w Wear) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads the rating.
func (w *Wear) UnmarshalText(b []byte) (err error) { *w, err = ParseWear(string(b)); return err }

// Timing says whether something was written down before the outcome was known.
type Timing uint8

// What was written down afterwards may follow from the outcome, and is no
// adjuster of it.
const (
	NoTiming Timing = iota
	BeforeOutcome
	AfterOutcome
	endTiming
)

var timingNames = names{"", "before", "after"}

// Timings lists before and after.
func Timings() []Timing { return all[Timing](timingNames) }

func (t Timing) String() string { return timingNames.text(uint8(t)) }

// MarshalText writes the word.
func (t Timing) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads the word.
func (t *Timing) UnmarshalText(b []byte) error {
	i, err := timingNames.index("timing", string(b))
	*t = Timing(i)
	return err
}

// Confirmation says whether a person confirmed amounts that can hardly be right (Doubts).
type Confirmation uint8

// Nobody is asked about most amounts.
const (
	NotConfirmed Confirmation = iota
	AsMeasured
	endConfirmation
)

var confirmationNames = names{"", "as measured"}

// Confirmations lists the one word.
func Confirmations() []Confirmation { return all[Confirmation](confirmationNames) }

func (c Confirmation) String() string { return confirmationNames.text(uint8(c)) }

// MarshalText writes the word.
func (c Confirmation) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads the word.
func (c *Confirmation) UnmarshalText(b []byte) error {
	i, err := confirmationNames.index("confirmation", string(b))
	*c = Confirmation(i)
	return err
}

// Method is how an achieved movement was measured.
type Method uint8

// The methods. What one of them calls 2 degrees another may call 3: they are never
// pooled silently.
const (
	NoMethod Method = iota
	SuperimposedScans
	NextPlanStart
	Models
	OtherMethod
	endMethod
)

var methodNames = names{"", "superimposed scans", "next plan's start", "models", "other"}

// Methods lists the methods in print order.
func Methods() []Method { return all[Method](methodNames) }

func (m Method) String() string { return methodNames.text(uint8(m)) }

// MarshalText writes the name of the method.
func (m Method) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads the name of the method.
func (m *Method) UnmarshalText(b []byte) error {
	i, err := methodNames.index("method of measurement", string(b))
	*m = Method(i)
	return err
}

// AgeBand is the patient's age at the start, in bands wide enough not to identify.
type AgeBand uint8

// The bands.
const (
	NoAgeBand AgeBand = iota
	AgeUnder12
	Age12To17
	Age18To29
	Age30To44
	Age45To59
	Age60Plus
	endAgeBand
)

var ageNames = names{"", "under 12", "12-17", "18-29", "30-44", "45-59", "60 and over"}

// AgeBands lists the bands, youngest first.
func AgeBands() []AgeBand { return all[AgeBand](ageNames) }

// ParseAgeBand reads the name of a band.
func ParseAgeBand(s string) (AgeBand, error) {
	i, err := ageNames.index("age band", s)
	return AgeBand(i), err
}

// AgeBandOf puts an age in years into its band.
func AgeBandOf(years int) AgeBand {
	switch {
	case years < 12:
		return AgeUnder12
	case years < 18:
		return Age12To17
	case years < 30:
		return Age18To29
	case years < 45:
		return Age30To44
	case years < 60:
		return Age45To59
	}
	return Age60Plus
}

func (a AgeBand) String() string { return ageNames.text(uint8(a)) }

// MarshalText writes the band.
func (a AgeBand) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads the band.
func (a *AgeBand) UnmarshalText(b []byte) (err error) { *a, err = ParseAgeBand(string(b)); return err }
