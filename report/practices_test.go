package report

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
	"shortfall/report/section"
	"shortfall/sampledata"
)

// invented is a practice of sampledata, changed; every form of it is laid out.
type invented struct {
	name  string
	cases int
	seed  uint64
	make  func(*sampledata.Params)
	spoil func(*casebook.Dataset)
	set   func(*results.Settings)
}

func style(to casebook.Style, from ...casebook.Style) func(*casebook.Dataset) {
	return func(ds *casebook.Dataset) {
		for i := range ds.Movements {
			if m := &ds.Movements[i]; slices.Contains(from, m.Style) {
				m.Style = to
			}
		}
	}
}

func oneOperator(ds *casebook.Dataset) {
	for i := range ds.Cases {
		ds.Cases[i].Clinician = "K1"
	}
}

func noOutcomes(ds *casebook.Dataset) {
	for i := range ds.Movements {
		ds.Movements[i].Achieved = casebook.Opt[float64]{}
	}
}

func refinementsAlone(ds *casebook.Dataset) {
	ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return m.Course == 1 })
}

// inventedPractices are 40 practices of 3 to 400 cases; in the short form ten.
func inventedPractices(t *testing.T) []invented {
	out := []invented{
		{name: "15 cases", cases: 15, seed: 1},
		{name: "one clinician", cases: 60, seed: 2, spoil: oneOperator},
		{name: "one style", cases: 80, seed: 3, spoil: style(casebook.SoftwareSuggested, casebook.ClinicianDesigned, casebook.StyleNone)},
		{name: "none clinician-designed", cases: 80, seed: 4, spoil: style(casebook.SoftwareSuggested, casebook.ClinicianDesigned)},
		{name: "no style", cases: 50, seed: 5, spoil: style(casebook.NoStyle, casebook.StyleNone, casebook.SoftwareSuggested, casebook.ClinicianDesigned)},
		{name: "no difference", cases: 120, seed: 11, make: func(p *sampledata.Params) { p.StyleEffect, p.NoneEffect = nil, nil }},
		{name: "8 cases", cases: 8, seed: 21},
		{name: "8 cases, one style, one clinician", cases: 8, seed: 21, spoil: func(ds *casebook.Dataset) {
			style(casebook.SoftwareSuggested, casebook.ClinicianDesigned, casebook.StyleNone)(ds)
			oneOperator(ds)
		}},
		{name: "no outcomes", cases: 40, seed: 22, spoil: noOutcomes},
		{name: "a quarter", cases: 160, seed: 1, set: func(s *results.Settings) { s.Period.Quarter = casebook.NewMonth(2025, 7) }},
		{name: "shared", cases: 60, seed: 6, set: func(s *results.Settings) { s.Shared = true }},
	}
	if testing.Short() {
		return out[:2]
	}
	if os.Getenv("SHORTFALL_PRACTICES") == "" {
		t.Log("every fourth of eleven practices, with SHORTFALL_LONG all; SHORTFALL_PRACTICES=1 lays out forty")
		if long {
			return out
		}
		var every []invented
		for i := 0; i < len(out); i += 4 {
			every = append(every, out[i])
		}
		return every
	}
	out = append(out, invented{name: "400 cases", cases: 400, seed: 7},
		invented{name: "all none", cases: 60, seed: 8, spoil: style(casebook.StyleNone, casebook.SoftwareSuggested, casebook.ClinicianDesigned)},
		invented{name: "3 cases", cases: 3, seed: 9},
		invented{name: "shared 15", cases: 15, seed: 10, set: func(s *results.Settings) { s.Shared = true }})
	for i := len(out); i < 40; i++ {
		out = append(out, invented{name: fmt.Sprintf("seed %d", i), cases: 15 + (i*37)%260, seed: uint64(100 + i)})
	}
	return out
}

func (p invented) results(t *testing.T) *results.Results {
	t.Helper()
	params := sampledata.Default()
	params.Cases = p.cases
	if p.make != nil {
		p.make(&params)
	}
	ds, _ := sampledata.Generate(params, p.seed)
	if p.spoil != nil {
		p.spoil(ds)
	}
	s := results.DefaultSettings()
	if p.set != nil {
		p.set(&s)
	}
	r, err := audit.Run(context.Background(), ds, s, "0.1.0")
	require.NoError(t, err)
	return r
}

// Every practice on every sheet: one page is one page, four stay below seven, nothing
// overlaps, leaves the margins, is cut or broken within a number, no quarter of a page is
// empty, no column says nothing, and every number printed is in the results. Without
// SHORTFALL_LONG the sheets take turns, and only every other practice of the few has its annexes.
func TestFirstPagesOfManyPractices(t *testing.T) {
	for i, p := range inventedPractices(t) {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			r := p.results(t)
			for _, size := range sheetsOf(i) {
				one, err := compose(r, Options{Paper: size, Pages: section.One})
				require.NoError(t, err)
				assert.Equal(t, 1, one.Pages(), "one is one page on %s", size.Name)
				assert.Empty(t, emptyCells(t, r))
				short, err := compose(r, Options{Paper: size})
				require.NoError(t, err)
				assert.LessOrEqual(t, short.Pages(), 6, "short on %s", size.Name)
				laid := []*paper.Doc{one, short}
				if long || i%2 == 0 {
					full, err := compose(r, Options{Paper: size, Pages: section.Full})
					require.NoError(t, err)
					laid = append(laid, full)
				}
				for _, d := range laid {
					assert.Empty(t, slices.Concat(leaving(d, size), overlapping(d), cut(d), broken(d), orphaned(d), ungrouped(d)), "on %s", size.Name)
				}
				if p.cases < 8 {
					continue // there is nothing to fill a page with
				}
				assert.Empty(t, emptyParts(one, size, 0.25, true), "on %s", size.Name)
				assert.Empty(t, emptyParts(short, size, 0.25, true), "on %s", size.Name)
				for _, full := range laid[2:] {
					assert.Empty(t, emptyParts(full, size, 0.5, false), "on %s", size.Name)
				}
				if dir := os.Getenv("SHORTFALL_LOOK"); dir != "" && size == paper.A4 {
					for k, d := range laid {
						f, err := os.Create(filepath.Join(dir, strings.ReplaceAll(p.name, " ", "-")+"-"+[]string{"one", "short", "full"}[k]+".pdf"))
						require.NoError(t, err)
						require.NoError(t, d.Write(f))
						require.NoError(t, f.Close())
					}
				}
				numbersAreAccountedFor(t, r, short)
			}
		})
	}
}

// unrecorded takes one thing out of the records of a practice; says is the advice that
// page one gives.
var unrecorded = []struct {
	name, says string
	spoil      func(*casebook.Dataset)
}{
	{"refinements", "begin to record the number of refinements of every case, 0 too", noRefinements},
	{"months", "the month every case started", noMonths},
	{"status", "begin to record how every case stands or ended", func(ds *casebook.Dataset) {
		for i := range ds.Cases {
			ds.Cases[i].Status = casebook.NoStatus
		}
	}},
	{"clinicians", "begin to record the clinician of every case", func(ds *casebook.Dataset) {
		for i := range ds.Cases {
			ds.Cases[i].Clinician = ""
		}
	}},
	{"directions", "begin to record the direction of every movement", sizesOnly},
	{"wear, aligners, staging", "how well aligners were worn, how many aligners of every course were used and whether movements were combined or sequenced", bare},
	{"styles", "begin to record the attachment style of every movement", style(casebook.NoStyle, casebook.StyleNone, casebook.SoftwareSuggested, casebook.ClinicianDesigned)},
}

func noRefinements(ds *casebook.Dataset) {
	ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return m.Course > 1 })
	ds.Repeats, ds.Courses = nil, nil
	for i := range ds.Cases {
		ds.Cases[i].StatedRefinements = casebook.Opt[int]{}
	}
}

func noMonths(ds *casebook.Dataset) {
	for i := range ds.Cases {
		ds.Cases[i].Start, ds.Cases[i].End = 0, 0
	}
	for i := range ds.Courses {
		ds.Courses[i].Start = 0
	}
}

func sizesOnly(ds *casebook.Dataset) {
	ds.Repeats = nil
	for i := range ds.Movements {
		m := &ds.Movements[i]
		if m.SizeOnly = true; m.Planned < 0 {
			m.Planned, m.Achieved.Value = -m.Planned, -m.Achieved.Value
		}
	}
}

// bare leaves of a movement what was planned, what was achieved and the style.
func bare(ds *casebook.Dataset) {
	for i := range ds.Cases {
		c := &ds.Cases[i]
		c.Wear, c.AgeBand, c.PlannedAligners, c.ChangeDays = 0, 0, casebook.Opt[int]{}, casebook.Opt[int]{}
	}
	for i := range ds.Courses {
		ds.Courses[i].AlignersPlanned, ds.Courses[i].AlignersUsed = casebook.Opt[int]{}, casebook.Opt[int]{}
	}
	for i := range ds.Movements {
		m := &ds.Movements[i]
		m.Shape, m.Orientation, m.Staging = 0, 0, 0
		m.SizeMM, m.Lost, m.LostMonth = casebook.Opt[float64]{}, casebook.Opt[bool]{}, casebook.Opt[int]{}
	}
}

// A practice that does not record something, or of all this nothing, has a page one that
// is sound, leaves no quarter empty and says what to begin to record.
func TestPageOneOfWhatIsNotRecorded(t *testing.T) {
	for i, x := range unrecorded {
		t.Run(x.name, func(t *testing.T) {
			pageOneIsSound(t, i, invented{cases: 30 + i%2, seed: uint64(300 + i), spoil: x.spoil}, x.says)
		})
	}
	for i := range everyday(2, 1) {
		t.Run("first sets", func(t *testing.T) {
			pageOneIsSound(t, i, invented{cases: 40, seed: 23, spoil: refinementsAlone}, "record the outcome of every planned movement")
		})
	}
	none := func(ds *casebook.Dataset) {
		for _, x := range unrecorded {
			x.spoil(ds)
		}
	}
	for i, cases := range []int{15, 60}[:everyday(2, 1)] {
		t.Run(fmt.Sprintf("%d cases, none of it", cases), func(t *testing.T) {
			pageOneIsSound(t, i, invented{cases: cases, seed: 310, spoil: none}, "measure at least 25 movements twice")
		})
	}
	for i, spoil := range []func(*casebook.Dataset){none, noRefinements, sizesOnly}[:everyday(3, 1)] {
		for j, axis := range []casebook.Axis{casebook.Vertical, casebook.Rotation}[:everyday(2, 1)] {
			t.Run(fmt.Sprintf("%v alone, %d", axis, i), func(t *testing.T) {
				pageOneIsSound(t, i+j, invented{cases: 60, seed: uint64(320 + j), spoil: func(ds *casebook.Dataset) {
					ds.Repeats = nil
					ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return m.Axis != axis })
					spoil(ds)
				}}, "measure at least 25 movements twice")
			})
		}
	}
}

// Of sheets that give sizes alone no annex and no sheet of the workbook says which way:
// directions stand in what explains signs and rules, nowhere else.
func TestSizesNameNoDirectionInAnyTable(t *testing.T) {
	r := invented{cases: 40, seed: 330, spoil: sizesOnly}.results(t)
	require.NotEmpty(t, r.Scope.Unstated)
	d, err := section.Document(r, section.Everything)
	require.NoError(t, err)
	book, err := section.Workbook(r)
	require.NoError(t, err)
	texts := strings.Split(everything(d), "\n")
	for _, s := range book.Sheets {
		for _, row := range s.Rows {
			for _, v := range row {
				texts = append(texts, fmt.Sprint(v))
			}
		}
	}
	explained := strings.NewReplacer("extrusion and intrusion", "", "+ extrusion", "", "− intrusion", "", "buccolingual", "", "mesiodistal", "")
	for _, text := range texts {
		text = explained.Replace(strings.ToLower(text))
		for _, way := range casebook.Directions() {
			if strings.Contains(text, way.String()) { // an assertion for each of so many takes long
				t.Errorf("%q says %s", text, way)
			}
		}
	}
	assert.Empty(t, sample().Scope.Unstated)
}

// pageOneIsSound looks at one practice, on one sheet or the other by turns; everyday at
// every third one's numbers.
func pageOneIsSound(t *testing.T, turn int, p invented, says string) {
	t.Helper()
	r := p.results(t)
	assert.Contains(t, strings.Join(r.Front.Record, "; "), says)
	for _, size := range sheetsOf(turn) {
		one, err := compose(r, Options{Paper: size, Pages: section.One})
		require.NoError(t, err)
		assert.Equal(t, 1, one.Pages(), size.Name)
		assert.Empty(t, slices.Concat(leaving(one, size), overlapping(one), cut(one), broken(one), emptyParts(one, size, 0.25, true)), size.Name)
		assert.Contains(t, allText(one), "For the next audit:")
	}
	if !long && turn%3 > 0 {
		return
	}
	d, err := section.Document(r, section.One)
	require.NoError(t, err)
	a := accountOf(t, r)
	assert.Empty(t, unaccounted(&a, d))
}

var printed = regexp.MustCompile(`[0-9][0-9\x{2009}]*(\.[0-9]+)?`)

// numbersOf lists every form in which a number of the results may be printed. The file
// is long, so it is walked by hand and what comes again is not looked at again.
func numbersOf(js string) map[string]bool {
	out, seen := map[string]bool{}, map[string]bool{}
	for i := 0; i < len(js); {
		to := i + 1
		switch c := js[i]; {
		case c == '"':
			for ; js[to] != '"'; to++ {
				if js[to] == '\\' {
					to++
				}
			}
			to++
		case c == '-' || c >= '0' && c <= '9':
			for strings.IndexByte("+-.0123456789Ee", js[to]) >= 0 {
				to++
			}
		default:
			i++
			continue
		}
		if s := js[i:to]; !seen[s] {
			seen[s] = true
			addForms(out, s)
		}
		i = to
	}
	return out
}

// addForms adds those of a number, or the numbers inside a text.
func addForms(out map[string]bool, s string) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		for _, inside := range printed.FindAllString(s, -1) {
			out[strings.ReplaceAll(inside, "\u2009", "")] = true
		}
		return
	}
	v = math.Abs(v)
	for dec := range 3 {
		out[strconv.FormatFloat(v, 'f', dec, 64)] = true
		out[strconv.FormatFloat(100*v, 'f', dec, 64)] = true
	}
}
