package compare_test

import (
	"cmp"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/simulate"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a fifth of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// cells makes the Data of each direction of initial courses, styles clinician-
// designed against software-suggested.
func cells(ds *casebook.Dataset) map[casebook.Direction]*compare.Data {
	out := map[casebook.Direction]*compare.Data{}
	patient := map[casebook.CaseKey]int{}
	clinician := map[casebook.CaseKey]int{}
	for i, c := range ds.Cases {
		patient[c.Key()] = i
		clinician[c.Key()] = int(c.Clinician[1] - '0')
	}
	pointers := make([]*casebook.Movement, len(ds.Movements))
	for i := range ds.Movements {
		pointers[i] = &ds.Movements[i]
	}
	doubts := casebook.Doubts(pointers, results.DefaultSettings().Smallest)
	for n, m := range ds.Movements {
		if m.Course != 1 || m.Style != casebook.SoftwareSuggested && m.Style != casebook.ClinicianDesigned {
			continue
		}
		d := out[m.Direction()]
		if d == nil {
			d = &compare.Data{Covariates: []compare.Covariate{
				{Name: "tooth class"},
				{Name: "arch"},
				{Name: "tooth within class"},
				{Name: "side"},
				{Name: "tooth", Refines: []string{"tooth class", "arch", "tooth within class"}},
			}}
			out[m.Direction()] = d
		}
		d.Patient, d.Mouth = append(d.Patient, patient[m.Case]), append(d.Mouth, patient[m.Case])
		d.Planned = append(d.Planned, math.Abs(m.Planned))
		a := math.NaN()
		if m.Achieved.OK {
			a = m.Achieved.Value * m.Direction().Sign()
		}
		d.Doubted = append(d.Doubted, doubts[n] != casebook.NoDoubt)
		d.Achieved, d.Treated = append(d.Achieved, a), append(d.Treated, m.Style == casebook.ClinicianDesigned)
		d.Class, d.Clinician = append(d.Class, int32(m.Tooth.Class())), append(d.Clinician, clinician[m.Case])
		within := 1
		switch m.Tooth.Position() {
		case 2, 5, 7, 8:
			within = 2
		}
		side := 1 + b2i(m.Tooth.Quadrant() == 2 || m.Tooth.Quadrant() == 3)
		kind := 10*int(m.Tooth.Arch()) + m.Tooth.Position()
		for k, v := range []int{int(m.Tooth.Class()), int(m.Tooth.Arch()), within, side, kind} {
			d.Covariates[k].Codes = append(d.Covariates[k].Codes, int32(v))
		}
	}
	return out
}

// tally of one setting.
type tally struct {
	audits, falseCalls, covered, intervals, judged int
	plain, called, effects                         int // true effects: corrected P alone, with checks, looked for
	reasons                                        map[compare.Reason]int
	apart                                          bool // tooth classes differ where an effect is looked for
}

func (t *tally) add(ds *casebook.Dataset, p *simulate.Practice, s *simulate.Scenario) {
	var cs []*compare.Contrast
	var ds2 []casebook.Direction
	byDirection := cells(ds)
	for _, d := range casebook.Directions() {
		if byDirection[d] == nil {
			continue
		}
		c, err := compare.New(byDirection[d], compare.DefaultOptions())
		if err != nil {
			panic(err)
		}
		cs, ds2 = append(cs, c), append(ds2, d)
	}
	t.audits++
	t.apart = p.ClassEffect != nil && len(s.True) > 0
	wrong := false
	for i, a := range answers(cs) {
		truth, real := p.Effect[ds2[i]], slices.Contains(s.True, ds2[i])
		if a.Verdict != compare.NotComparable {
			t.judged++
			if p.ClassEffect == nil {
				t.intervals++
				t.covered += b2i(cs[i].Estimate.Low <= truth && truth <= cs[i].Estimate.High)
			}
		}
		told := a.Verdict == compare.Higher || a.Verdict == compare.Lower
		if real {
			t.effects++
			t.plain += b2i(a.PAdjusted < 0.05)
			t.called += b2i(a.Verdict == compare.Higher)
			t.reasons[a.Reason]++
			told = told && a.Verdict != compare.Higher
		}
		wrong = wrong || told
	}
	t.falseCalls += b2i(wrong)
}

// answers are the verdicts. The checks can only take one back, so they are made where
// there is one without them: in a twentieth of practices without effect.
func answers(cs []*compare.Contrast) []compare.Answer {
	var plain, checked []compare.Candidate
	for _, c := range cs {
		plain = append(plain, c.Unchecked())
	}
	told := func(a compare.Answer) bool { return a.Verdict == compare.Higher || a.Verdict == compare.Lower }
	first := compare.Judge(plain, compare.Confirmatory, 0.05, 1)
	if !slices.ContainsFunc(first, told) {
		return first
	}
	for _, c := range cs {
		checked = append(checked, c.Candidate())
	}
	return compare.Judge(checked, compare.Confirmatory, 0.05, 1)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// setting of a practice.
type setting struct {
	cases                int
	within, icc, missing float64
}

func (s setting) String() string {
	return fmt.Sprintf("%d cases, SD %.2f, ICC %.1f, missing %.0f %%", s.cases, s.within, s.icc, 100*s.missing)
}

// run draws the practices of n seeds behind the first.
func run(first, n int, s *simulate.Scenario, x setting) *tally {
	total := &tally{reasons: map[compare.Reason]int{}}
	var mu sync.Mutex
	var wg sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			t := &tally{reasons: map[compare.Reason]int{}}
			for seed := first + w; seed < first+n; seed += workers {
				p := simulate.New(x.cases, x.within, x.icc, x.missing)
				if m, err := strconv.Atoi(os.Getenv("SHORTFALL_MOVEMENTS")); err == nil {
					p.Movements = m
				}
				s.Apply(p)
				t.add(p.Make(uint64(seed)+1), p, s)
			}
			mu.Lock()
			defer mu.Unlock()
			total.merge(t)
		}()
	}
	wg.Wait()
	return total
}

func (t *tally) merge(o *tally) {
	t.audits, t.falseCalls, t.covered, t.intervals = t.audits+o.audits, t.falseCalls+o.falseCalls, t.covered+o.covered, t.intervals+o.intervals
	t.apart = t.apart || o.apart
	t.judged, t.plain, t.called, t.effects = t.judged+o.judged, t.plain+o.plain, t.called+o.called, t.effects+o.effects
	for k, v := range o.reasons {
		t.reasons[k] += v
	}
}

// settings of the long form: sizes of practice, spread within mouths, missing
// outcomes.
func allSettings() (out []setting) {
	for _, cases := range []int{60, 150, 30} {
		out = append(out, setting{cases, 0.25, 0.3, 0.1}, setting{cases, 0.15, 0.5, 0}, setting{cases, 0.35, 0, 0.1},
			setting{cases, 0.15, 0.3, 0.1}, setting{cases, 0.35, 0.3, 0}, setting{cases, 0.25, 0.3, 0})
	}
	return out
}

// TestScenarios: practices whose truth is known. It fails where an audit that calls
// what is not there is more frequent than one in twenty, by the lower limit of
// Wilson's interval, and where intervals hold the truth in fewer than 93 or more than
// 97 % by both limits. Of the long form's 500 cells some do by chance: such a cell is drawn
// again, four times as often and from other seeds, which decide. The long form: SHORTFALL_PRACTICES=1000 SHORTFALL_GRID=all.
func TestScenarios(t *testing.T) {
	n := audittest.Practices(t, 20)
	if !audittest.Long() {
		n = 3
	}
	settings := []setting{{60, 0.25, 0.3, 0.1}}
	switch grid := os.Getenv("SHORTFALL_GRID"); grid {
	case "all":
		settings = allSettings()
	case "power":
		settings = []setting{{60, 0.30, 0.3, 0.1}, {90, 0.15, 0.3, 0}, {100, 0.25, 0.3, 0.1}, {150, 0.25, 0.3, 0.1}}
	case "":
	default: // one of all, by its number
		i, err := strconv.Atoi(grid)
		require.NoError(t, err)
		settings = allSettings()[i : i+1]
	}
	over := map[string]*summary{}
	for _, x := range settings {
		for _, s := range simulate.Scenarios() {
			if wanted(&s) {
				r := run(0, n, &s, x)
				r.log(t, &s, x)
				if r.broken() != "" {
					r = run(n, 4*n, &s, x)
					t.Log("drawn again:")
					r.log(t, &s, x)
				}
				assert.Empty(t, r.broken(), "%s, %s", s.Name, x)
				if over[s.Name] == nil {
					over[s.Name] = &summary{cover: [2]float64{100, 0}, power: [2]float64{100, 0}}
				}
				over[s.Name].add(r, x)
			}
		}
	}
	if len(settings) == 1 {
		return
	}
	t.Log("| scenario | most false calls, % | covered, % | called, % |")
	for _, s := range simulate.Scenarios() {
		if o := over[s.Name]; o != nil {
			t.Logf("| %s | %s |", s.Name, o)
		}
	}
}

// summary of a scenario over settings, in percent.
type summary struct {
	worst        float64
	at           setting
	cover, power [2]float64 // least and most
}

// fewest intervals that say anything of how often they hold the truth.
const fewest = 400

func (o *summary) add(r *tally, x setting) {
	if f := share(r.falseCalls, r.audits); f > o.worst {
		o.worst, o.at = f, x
	}
	widen := func(of *[2]float64, v float64) { of[0], of[1] = min(of[0], v), max(of[1], v) }
	if r.intervals >= fewest {
		widen(&o.cover, share(r.covered, r.intervals))
	}
	if r.effects > 0 {
		widen(&o.power, share(r.called, r.effects))
	}
}

func (o *summary) String() string {
	between := func(of [2]float64) string {
		if of[0] > of[1] {
			return ""
		}
		return fmt.Sprintf("%.1f to %.1f", of[0], of[1])
	}
	return fmt.Sprintf("%.1f (%v) | %s | %s", o.worst, o.at, between(o.cover), between(o.power))
}

func share(k, n int) float64 { return 100 * float64(k) / float64(max(1, n)) }

// wanted reads SHORTFALL_SCENARIO, an expression that names are matched with.
func wanted(s *simulate.Scenario) bool {
	return regexp.MustCompile(os.Getenv("SHORTFALL_SCENARIO")).MatchString(s.Name)
}

// log tells a tally.
func (r *tally) log(t *testing.T, s *simulate.Scenario, x setting) {
	t.Helper()
	t.Logf("%-36s %-42s false %5.1f %% of %d, covered %5.1f %% of %d, judged %.0f %%, power %.1f (before checks %.1f) %v",
		s.Name, x, share(r.falseCalls, r.audits), r.audits, share(r.covered, r.intervals), r.intervals,
		share(r.judged, 4*r.audits), share(r.called, r.effects), share(r.plain, r.effects), reasons(r))
}

// broken says which promise a tally does not keep.
func (r *tally) broken() string {
	if prop.Wilson(r.falseCalls, r.audits, 0.95).Low > 0.05 {
		return fmt.Sprintf("%d of %d audits call what is not there", r.falseCalls, r.audits)
	}
	// Where classes differ no one number is true, and none should be told; directions share patients.
	if r.apart && prop.Wilson(r.called*r.audits/r.effects, r.audits, 0.95).Low > 0.05 {
		return fmt.Sprintf("%d of %d directions called for all teeth", r.called, r.effects)
	}
	if r.intervals < 4 {
		return ""
	}
	// The directions of a practice share its patients: a quarter of the intervals
	// is taken as what there is to tell coverage by.
	if e := prop.Wilson(r.covered/4, r.intervals/4, 0.95); e.Low > 0.97 || e.High < 0.93 {
		return fmt.Sprintf("%d of %d intervals hold the truth", r.covered, r.intervals)
	}
	return ""
}

func reasons(t *tally) string {
	var keys []compare.Reason
	for k := range t.reasons {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b compare.Reason) int { return cmp.Compare(t.reasons[b], t.reasons[a]) })
	var out []string
	for _, k := range keys {
		out = append(out, fmt.Sprintf("%s %d", k, t.reasons[k]))
	}
	return strings.Join(out, ", ")
}

// TestTrueEffectsAreFound: the checks together cost at most five points of power, and
// a clear difference in one direction of four is called in 95 % of audits. The long
// form: SHORTFALL_PRACTICES=1000.
func TestTrueEffectsAreFound(t *testing.T) {
	n := audittest.Practices(t, 40)
	for _, x := range []struct {
		scenario string
		setting  setting
		atLeast  float64 // share called; 0: nothing is asked but the cost of the checks
	}{
		{"15 points in one direction", setting{60, 0.30, 0.3, 0.1}, 0},
		{"16 points in one direction", setting{90, 0.15, 0.3, 0}, 0.95},
		{"20 points in one direction", setting{100, 0.25, 0.3, 0.1}, 0},
	} {
		all := simulate.Scenarios()
		s := &all[slices.IndexFunc(all, func(s simulate.Scenario) bool { return s.Name == x.scenario })]
		r := run(0, n, s, x.setting)
		t.Logf("%s, %v: called %d of %d, before the checks %d; %s", s.Name, x.setting, r.called, r.effects, r.plain, reasons(r))
		require.Equal(t, n, r.effects)
		assert.LessOrEqual(t, prop.Wilson(r.plain-r.called, r.effects, 0.95).Low, 0.05, s.Name)
		assert.GreaterOrEqual(t, prop.Wilson(r.called, r.effects, 0.95).High, x.atLeast, s.Name)
	}
}

// TestFilesForR writes practices with a true difference for testdata/power.R, and tells
// what this package calls in them.
func TestFilesForR(t *testing.T) {
	dir := os.Getenv("SHORTFALL_FILES")
	if dir == "" {
		t.Skip("SHORTFALL_FILES names the folder to write to")
	}
	n := audittest.Practices(t, 50)
	all := simulate.Scenarios()
	s := &all[slices.IndexFunc(all, func(s simulate.Scenario) bool { return s.Name == "20 points in one direction" })]
	x := setting{60, 0.25, 0.3, 0.1}
	for i := range n {
		p := simulate.New(x.cases, x.within, x.icc, x.missing)
		s.Apply(p)
		byDirection := cells(p.Make(uint64(i) + 1))
		var out strings.Builder
		fmt.Fprintln(&out, "direction,case,planned,achieved,treated,class,arch,within,side,tooth")
		for _, direction := range casebook.Directions() {
			d := byDirection[direction]
			for k := 0; d != nil && k < len(d.Planned); k++ {
				achieved := "NA"
				if !math.IsNaN(d.Achieved[k]) {
					achieved = fmt.Sprint(d.Achieved[k])
				}
				fmt.Fprintf(&out, "%s,%d,%v,%s,%d,%v", direction, d.Patient[k], d.Planned[k], achieved, b2i(d.Treated[k]), d.Class[k])
				for _, c := range d.Covariates[1:] {
					fmt.Fprintf(&out, ",%v", c.Codes[k])
				}
				fmt.Fprintln(&out)
			}
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("practice-%04d.csv", i+1)), []byte(out.String()), 0o600))
	}
	r := run(0, n, s, x)
	t.Logf("%d practices: extrusion called in %d (%d before the checks), another direction in %d", n, r.called, r.plain, r.falseCalls)
}
