package results

import (
	"slices"

	"shortfall/ingest/casebook"
)

// Front is what the first four pages say and draw. It is worked out from the
// rest of the results, so that every renderer says the same.
type Front struct {
	Over     string `json:"over"`     // who, when, how many
	Headline string `json:"headline"` // the finding in one sentence
	Under    string `json:"under"`    // what it does not show
	// Dots sets the styles against each other, every direction on one scale.
	Dots FrontDots `json:"dots,omitzero"`
	// Arches shows each tooth, the axes of page one first.
	Arches FrontArches `json:"arches,omitzero"`
	// Directions is the expression of every direction.
	Directions FrontFigure `json:"directions,omitzero"`
	Refined    FrontFigure `json:"refined,omitzero"`
	// ByStyle is refinements by the main style of the first attachments.
	ByStyle FrontFigure `json:"by_style,omitzero"`
	// Decide are questions for the practice, Record what to write down for the
	// next audit.
	Decide []string `json:"decide,omitempty"`
	Record []string `json:"record,omitempty"`
	// Recorded is how much is on record of what an audit rests on, and what each is for.
	Recorded []FrontRecorded `json:"recorded,omitempty"`

	Short  FrontPage `json:"short_page"`  // where plans fell short
	Choice FrontPage `json:"choice_page"` // did the choice matter
	Cost   FrontPage `json:"cost_page"`   // cost and change
	// Change is what a quarter, or what is new since an earlier audit, changed, and Changes
	// its figure; without a title where neither was asked for.
	Change  FrontPage    `json:"change_page,omitzero"`
	Changes FrontChanges `json:"changes,omitzero"`
	// Kept sets movements that fell short and kept their style against those
	// that switched.
	Kept FrontSwitches `json:"kept,omitzero"`
	// Flow is the way from rows to findings, steps that lose nothing left out.
	Flow FrontFlow `json:"flow,omitzero"`
}

// FrontRecorded is one field: of so many records so many have it.
type FrontRecorded struct {
	What     string `json:"what"`
	Recorded int    `json:"recorded"`
	Total    int    `json:"total"`
	Of       string `json:"of"` // what is counted, "case"
	For      string `json:"for"`
}

// FrontPage is the title of a page and its sentences.
type FrontPage struct {
	Title      string      `json:"title"`
	Lead       string      `json:"lead,omitempty"`
	Statements []Statement `json:"statements,omitempty"`
}

// Statement is a finding in one sentence, with the checks it survived or did not.
type Statement struct {
	Text  string `json:"text"`
	Check string `json:"check,omitempty"`
	// Cells are those it rests on.
	Cells []By `json:"cells,omitempty"`
}

// FrontFigure is the words of a figure.
type FrontFigure struct {
	Title string `json:"title"`
	Sub   string `json:"sub,omitempty"` // what is drawn, in which unit
	Below string `json:"below,omitempty"`
}

// FrontSwitches is the figure of what came of switching the style after a shortfall,
// against keeping it.
type FrontSwitches struct {
	FrontFigure
	Drawn []FrontSwitch `json:"drawn,omitempty"`
}

// FrontSwitch names a comparison of SwitchAnalysis.Contrasts and its two paths: that from
// From to To, and that from From to From.
type FrontSwitch struct {
	Axis casebook.Axis  `json:"axis"`
	From casebook.Style `json:"from"`
	To   casebook.Style `json:"to"`
}

// FrontDots is the figure of paired dots.
type FrontDots struct {
	FrontFigure
	Groups []FrontGroup `json:"groups,omitempty"`
	// NoInterval is why a mean of all teeth has none; empty where each has one.
	NoInterval string `json:"no_interval,omitempty"`
}

// FrontGroup is rows of like verdict.
type FrontGroup struct {
	Title string     `json:"title"`
	Rows  []FrontRow `json:"rows"`
}

// FrontRow is one direction. Software and Clinician are the common mean minus
// and plus half the difference; both are null where the styles are not
// compared, and Reason says why.
type FrontRow struct {
	By         By     `json:"by"`
	Name       string `json:"name"`
	Clear      bool   `json:"clear,omitempty"`
	Unstated   bool   `json:"unstated,omitempty"` // sizes without direction count here, so none is drawn
	Mean       Number `json:"mean"`               // of both styles, or of all teeth where they are not compared
	MeanLow    Number `json:"mean_low"`           // of all teeth; null where styles are compared
	MeanHigh   Number `json:"mean_high"`
	Software   Number `json:"software_suggested"`
	Clinician  Number `json:"clinician_designed"`
	Difference Number `json:"difference"`
	Low        Number `json:"low"`
	High       Number `json:"high"`
	// Amount is the difference on the mean plan, in the unit of the axis.
	Amount Number `json:"amount"`
	Reason string `json:"reason,omitempty"`
}

// FrontChanges is the figure of a later part of the records against the earlier one.
type FrontChanges struct {
	FrontFigure
	Now  string        `json:"now,omitempty"` // the name of the later part
	Rows []FrontChange `json:"rows,omitempty"`
}

// FrontChange is one direction over all teeth: what was achieved of the plan before, and
// that plus the change which is judged, with its limits.
type FrontChange struct {
	By          By     `json:"by"`
	Name        string `json:"name"`
	Before      Number `json:"before"`
	Now         Number `json:"now"`
	Low         Number `json:"low"`
	High        Number `json:"high"`
	Change      Number `json:"change"`
	ChangeLow   Number `json:"change_low"`
	ChangeHigh  Number `json:"change_high"`
	CasesBefore int    `json:"cases_before"`
	CasesNow    int    `json:"cases_now"`
	Changed     bool   `json:"changed,omitempty"` // beyond chance
}

// FrontArches are the figures of the arches: that of page one has its words here, that
// of every axis tooth by tooth in ByTooth.
type FrontArches struct {
	FrontFigure
	ByTooth FrontFigure `json:"by_tooth,omitzero"`
	Axes    []FrontArch `json:"axes,omitempty"`
	// Reach says when a kind may be as low as those that the title names.
	Reach string `json:"reach,omitempty"`
	// Thin says what a hollow tooth is, where there is one.
	Thin string `json:"thin,omitempty"`
}

// Named is true where the title of page one names teeth that it draws.
func (f *FrontArches) Named() bool {
	return slices.ContainsFunc(f.Axes, func(a FrontArch) bool {
		return slices.ContainsFunc(a.Teeth, func(t FrontTooth) bool { return t.Meant })
	})
}

// FrontArch is one axis, tooth by tooth, or one direction, by kind of tooth; initial
// courses.
type FrontArch struct {
	Axis      casebook.Axis      `json:"axis"`
	Direction casebook.Direction `json:"direction,omitzero"`
	Name      string             `json:"name"`
	Under     string             `json:"under"` // of all teeth
	// Note is why it is drawn where the title does not name it.
	Note string `json:"note,omitempty"`
	// First: shown on page one.
	First bool         `json:"first,omitempty"`
	Teeth []FrontTooth `json:"teeth"`
	// Kinds have the numbers where teeth of one kind share one.
	Kinds []FrontKind `json:"kinds,omitempty"`
}

// FrontKind is the expression of all teeth of one kind: in one jaw, or in both.
type FrontKind struct {
	Class casebook.ToothClass `json:"tooth_class"`
	Arch  casebook.Arch       `json:"arch,omitzero"`
	Value Number              `json:"value"` // null where too few to show
	Cases int                 `json:"cases,omitempty"`
	Few   bool                `json:"few,omitempty"`
	Meant bool                `json:"meant,omitempty"` // by the title
	Lower bool                `json:"lower,omitempty"` // as low as what the title names, and not named
	// Near: its interval reaches what the title names; it may be as low.
	Near   bool   `json:"near,omitempty"`
	Low    Number `json:"low"` // of its interval; null where it has none
	High   Number `json:"high"`
	Short  Number `json:"short"` // planned less achieved on average, in the unit of the axis
	Ranked bool   `json:"ranked,omitempty"`
}

// OfKind is the cell of the grid whose number is that of a kind of the arch.
func (a *FrontArch) OfKind(k *FrontKind) By {
	return By{Axis: a.Axis, Direction: a.Direction, ToothClass: k.Class, Arch: k.Arch, Course: Initial}
}

// Of is the cell of the grid whose number stands in a tooth of the arch: that of the
// tooth, of its kind, or of all teeth.
func (a *FrontArch) Of(t *FrontTooth) By {
	by := By{Axis: a.Axis, Direction: a.Direction, Course: Initial}
	switch {
	case t.Alike:
	case t.OfKind:
		by.ToothClass = t.Tooth.Class()
		if a.Direction == casebook.NoDirection { // both jaws have a number of their own
			by.Arch = t.Tooth.Arch()
		}
	default:
		by.Tooth = t.Tooth
	}
	return by
}

// of is what an arch is of: a direction, or both of its axis.
func (a *FrontArch) of() string {
	if a.Direction != casebook.NoDirection {
		return a.Direction.String()
	}
	return a.Axis.String()
}

// ToothKey names what is drawn of a tooth of the arch: "tooth torque 13".
func (a *FrontArch) ToothKey(t *FrontTooth) string { return "tooth " + a.of() + " " + t.Tooth.String() }

// KindKey names what is drawn of a kind of the arch: "kind torque, upper canine".
func (a *FrontArch) KindKey(k *FrontKind) string {
	kind := k.Class.String()
	if k.Arch != casebook.NoArch {
		kind = k.Arch.String() + " " + kind
	}
	return "kind " + a.of() + ", " + kind
}

// FrontTooth is the expression of one tooth, drawn towards that of all teeth
// where cases are few; Raw is its own. Alike: teeth do not differ beyond chance
// and the number of all teeth stands once. Value is null where nothing was planned.
type FrontTooth struct {
	Tooth casebook.Tooth `json:"tooth"`
	Cases int            `json:"cases,omitempty"`
	Value Number         `json:"value"`
	Raw   Number         `json:"raw"`
	Few   bool           `json:"few,omitempty"`
	Alike bool           `json:"alike,omitempty"`
	// OfKind: the number is that of all teeth of its kind, of one axis in its own jaw.
	OfKind bool `json:"of_kind,omitempty"`
	Meant  bool `json:"meant,omitempty"` // by the title
	// Lower: no more was achieved than of the highest that the title names, and it is not named.
	Lower bool `json:"lower,omitempty"`
	// Near: the interval of its kind reaches what the title names.
	Near bool `json:"near,omitempty"`
	Thin bool `json:"thin,omitempty"` // its kind has too few cases for an interval
}

// Thin is true of a kind that is shown and has too few cases for an interval.
func (k *FrontKind) Thin() bool { return !k.Few && !k.Ranked }

// FrontFlow is the flow in a few steps.
type FrontFlow struct {
	FrontFigure
	Steps []FrontStep `json:"steps,omitempty"`
}

// FrontStep is one step, with what leaves before the next.
type FrontStep struct {
	Count string   `json:"count"`
	Title string   `json:"title"`
	Left  []string `json:"left,omitempty"`
	// Step is its place among Flow.Steps, from 1; 0 are the rows read.
	Step int `json:"step,omitempty"`
}
