package sampledata

import "shortfall/ingest/casebook"

// Params of an invented practice. All effects are additive on expression, a
// ratio: 0.10 is ten points of a hundred. Setting an effect to zero (or a map
// to nil) switches it off; Default returns fresh maps, so changing one copy
// changes no other.
type Params struct {
	Practice   string          `json:"practice"`
	Cases      int             `json:"cases"`
	FirstStart casebook.Month  `json:"first_start"`
	Months     int             `json:"months"` // of starts
	Freeze     casebook.Month  `json:"freeze"` // records end here; later courses are unknown
	Extent     float64         `json:"extent"` // multiplies every probability of Plans: movements a case
	Clinicians []ClinicianPlan `json:"clinicians"`
	Plans      []Plan          `json:"plans"`

	// StyleEffect is clinician-designed minus software-suggested, NoneEffect
	// none minus software-suggested; a direction not named has no effect.
	StyleEffect map[casebook.Direction]float64 `json:"style_effect"`
	NoneEffect  map[casebook.Direction]float64 `json:"none_effect"`
	// Confounding scales how strongly style follows planned amount and tooth
	// class: 0 makes style independent of both, 1 is the practice's habit.
	Confounding float64 `json:"confounding"`

	SlopePerMM     float64                         `json:"slope_per_mm"`
	SlopePerDegree float64                         `json:"slope_per_degree"`
	CentreMM       float64                         `json:"centre_mm"`
	CentreDeg      float64                         `json:"centre_deg"`
	WearEffect     map[casebook.Wear]float64       `json:"wear_effect"`
	AgePerBand     float64                         `json:"age_per_band"` // per band above 18-29
	StagingEffect  float64                         `json:"staging_effect"`
	LostEffect     float64                         `json:"lost_effect"`
	Refinement     float64                         `json:"refinement_effect"`
	LossRate       map[casebook.ToothClass]float64 `json:"loss_rate"` // per feature and course

	CaseSD     float64 `json:"case_sd"`
	MovementSD float64 `json:"movement_sd"`
	NoiseMM    float64 `json:"noise_mm"` // SD of one measured movement; Dahlberg's error of the repeats
	NoiseDeg   float64 `json:"noise_deg"`

	Missing        float64 `json:"missing_outcome"` // share of outcomes not measured, at random
	Unrecorded     float64 `json:"unrecorded"`      // share of wear, age and staging left blank, at random
	Unplanned      float64 `json:"unplanned"`       // measured teeth with nothing planned, per case
	Dropout        Dropout `json:"dropout"`         // per course
	Repeats        int     `json:"repeats"`
	ReplanMM       float64 `json:"replan_mm"` // a residual above this is planned again
	ReplanDeg      float64 `json:"replan_deg"`
	MaxRefinements int     `json:"max_refinements"`
	// RefineHazard is the chance, per movement left beyond ReplanMM or
	// ReplanDeg, that the case goes back for a refinement.
	RefineHazard float64 `json:"refine_hazard"`
}

// ClinicianPlan is one clinician: an effect on expression and a readiness to
// design features (log odds of overriding the software's suggestion).
type ClinicianPlan struct {
	Code     string  `json:"code"`
	Effect   float64 `json:"effect"`
	Override float64 `json:"override"`
}

// Plan says how often, how far and with what success one tooth class is moved
// in one direction.
type Plan struct {
	Direction casebook.Direction  `json:"direction"`
	Class     casebook.ToothClass `json:"tooth_class"`
	PerTooth  float64             `json:"per_tooth"` // probability for one tooth, before Extent
	Median    float64             `json:"median"`    // planned amount, mm or degrees
	Base      float64             `json:"base"`      // expression at the centre of planned amounts
}

// Dropout probabilities, per course; poor wear doubles the first two.
type Dropout struct {
	Discontinued float64 `json:"discontinued"`
	Switched     float64 `json:"switched"`
	Transferred  float64 `json:"transferred"`
	// FinalScan is the chance that a course which ends so is measured all the same.
	FinalScan float64 `json:"final_scan"`
}

// DefaultSeed made the files in this folder.
const DefaultSeed = 20260930

// Default is the invented practice of the files in this folder: 160 cases
// started in 18 months under four clinicians. Clinician-designed features do
// better in extrusion and worse in rotation, and make no difference elsewhere.
// The clinicians' effects are balanced against their readiness to override, so
// leaving the clinician out of a comparison confounds it only by chance.
func Default() Params {
	return Params{
		Practice: "MOONQUAY", Cases: 160, Extent: 0.45,
		FirstStart: casebook.NewMonth(2023, 10), Months: 18, Freeze: casebook.NewMonth(2026, 9),
		Clinicians: []ClinicianPlan{
			{"K1", 0.03, 0.5}, {"K2", -0.03, 0.5}, {"K3", 0.03, -0.5}, {"K4", -0.03, -0.5},
		},
		Plans: defaultPlans(),
		StyleEffect: map[casebook.Direction]float64{
			casebook.Extrusion: 0.16, casebook.MesialIn: -0.12, casebook.MesialOut: -0.12,
		},
		NoneEffect: map[casebook.Direction]float64{
			casebook.Extrusion: -0.08, casebook.MesialIn: -0.06, casebook.MesialOut: -0.06,
		},
		Confounding: 1,
		SlopePerMM:  -0.12, SlopePerDegree: -0.009, CentreMM: 1, CentreDeg: 10,
		WearEffect: map[casebook.Wear]float64{casebook.WearFair: -0.05, casebook.WearPoor: -0.12},
		AgePerBand: -0.015, StagingEffect: -0.05, LostEffect: -0.08, Refinement: -0.03,
		LossRate: map[casebook.ToothClass]float64{
			casebook.Incisor: 0.05, casebook.Canine: 0.07, casebook.Premolar: 0.12, casebook.Molar: 0.2,
		},
		CaseSD: 0.12, MovementSD: 0.12, NoiseMM: 0.12, NoiseDeg: 1.1,
		Missing: 0.04, Unrecorded: 0.03, Unplanned: 0.5, Repeats: 60,
		Dropout:  Dropout{Discontinued: 0.03, Switched: 0.035, Transferred: 0.015, FinalScan: 0.35},
		ReplanMM: 0.35, ReplanDeg: 2.5, MaxRefinements: 5, RefineHazard: 0.17,
	}
}

// defaultPlans spells out all 48 pairs of direction and class: a refinement
// that turns back an overshoot needs the base of the opposite direction too.
func defaultPlans() []Plan {
	type row struct {
		direction               casebook.Direction
		perTooth, median, bases [4]float64 // incisor, canine, premolar, molar
	}
	rows := []row{
		{casebook.Extrusion, [4]float64{.34, .26, .12, .03}, [4]float64{1.0, 1.0, .8, .6}, [4]float64{.42, .44, .42, .38}},
		{casebook.Intrusion, [4]float64{.20, .12, .10, .10}, [4]float64{1.1, .9, .7, .7}, [4]float64{.55, .52, .48, .42}},
		{casebook.MesialIn, [4]float64{.24, .26, .24, .08}, [4]float64{9, 11, 12, 7}, [4]float64{.64, .54, .52, .50}},
		{casebook.MesialOut, [4]float64{.20, .24, .20, .06}, [4]float64{8, 10, 11, 7}, [4]float64{.62, .52, .50, .48}},
		{casebook.TipMesial, [4]float64{.14, .18, .12, .08}, [4]float64{5, 6, 5, 5}, [4]float64{.66, .58, .60, .56}},
		{casebook.TipDistal, [4]float64{.10, .14, .10, .10}, [4]float64{5, 6, 5, 5}, [4]float64{.64, .56, .60, .54}},
		{casebook.TorqueBuccal, [4]float64{.18, .08, .06, .10}, [4]float64{7, 5, 5, 5}, [4]float64{.52, .50, .54, .46}},
		{casebook.TorqueLingual, [4]float64{.14, .08, .04, .08}, [4]float64{6, 5, 5, 5}, [4]float64{.56, .52, .54, .48}},
		{casebook.ShiftMesial, [4]float64{.06, .04, .06, .06}, [4]float64{.6, .7, .8, .8}, [4]float64{.72, .68, .66, .60}},
		{casebook.ShiftDistal, [4]float64{.05, .12, .14, .18}, [4]float64{.6, .9, 1.1, 1.3}, [4]float64{.70, .68, .68, .70}},
		{casebook.ShiftBuccal, [4]float64{.16, .16, .28, .22}, [4]float64{.8, .9, 1.2, 1.1}, [4]float64{.72, .70, .72, .64}},
		{casebook.ShiftLingual, [4]float64{.16, .08, .06, .04}, [4]float64{.9, .8, .7, .6}, [4]float64{.68, .66, .66, .60}},
	}
	var out []Plan
	for _, r := range rows {
		for i, class := range casebook.ToothClasses() {
			out = append(out, Plan{r.direction, class, r.perTooth[i], r.median[i], r.bases[i]})
		}
	}
	return out
}
