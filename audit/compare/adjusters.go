package compare

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats/robust"
)

// MovementsPerColumn limits the columns of the model: one for every two movements that
// are compared, of which each mouth spends one on its level. Two subjects a column give
// unbiased coefficients of a linear model (Austin & Steyerberg 2015, J Clin Epidemiol
// 68:627-636), and CR2 intervals held the truth in 94 to 96 % down to 20 cases. What is
// left out biases: with room by patients, 30 cases went without side and single teeth,
// and where clinicians design the hard teeth intervals held the truth in 74 % (95 % now;
// TestScenarios, "single teeth").
const MovementsPerColumn = 2

// fewOnOneSide: an indicator that differs within the mouths of fewer patients
// than this is not a column.
const fewOnOneSide = 3

// column of the model, one value a movement of the Data.
type column struct {
	name string
	robust.Column
}

// is tells a column from others: names may come twice.
func (c *column) is(other *column) bool {
	return same(c.Values, other.Values) && same(c.Codes, other.Codes) && c.Code == other.Code
}

// same memory, or none.
func same[T any](a, b []T) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// adjuster is one covariate: its columns go in or out together.
type adjuster struct {
	name     string
	cols     []column
	required bool
	refines  []string
	words    *indicators // nil: a number
}

// indicators are the columns of a covariate of words: for each word but the commonest
// and those that differ within too few mouths, which stand together.
type indicators struct {
	codes []int32 // of each movement
	own   []bool  // the words with a column
	// made are the columns that were found to be made up, or not.
	made []spanned
}

// spanned says whether the indicators make up a column.
type spanned struct {
	column column
	is     bool
}

// Names of the adjusters that every comparison asks for first.
const (
	PlannedAmount  = "planned amount"
	PlannedSquared = "planned amount squared"
)

// candidates are the adjusters in order of precedence that vary within the
// mouths of rows: planned amount, its square (expression falls with the plan in
// a curve, and styles differ in the plans they are chosen for), then the
// recorded covariates. told are those of rows that tell something.
func (d *Data) candidates(rows, told []int) []adjuster {
	mean := 0.0
	for _, i := range rows {
		mean += d.Planned[i] / float64(len(rows))
	}
	planned, square := d.Arena.Room(len(d.Planned)), d.Arena.Room(len(d.Planned))
	for i, p := range d.Planned {
		planned[i], square[i] = p-mean, (p-mean)*(p-mean)
	}
	var out []adjuster
	add := func(a adjuster) {
		if len(a.cols) > 0 {
			out = append(out, a)
		}
	}
	number := func(name string, values []float64) []column {
		c := numbers(name, values)
		if d.variesIn(told, &c) < fewOnOneSide {
			return nil
		}
		return []column{c}
	}
	add(adjuster{name: PlannedAmount, cols: number(PlannedAmount, planned), required: true})
	add(adjuster{name: PlannedSquared, cols: number(PlannedSquared, square), required: true})
	for _, c := range d.Covariates {
		a := adjuster{name: c.Name, required: c.Required, refines: c.Refines}
		if c.Codes != nil {
			a.cols, a.words = d.indicators(c, rows, told)
		} else {
			a.cols = number(c.Name, c.Values)
		}
		add(a)
	}
	return out
}

// numbers are a column as they stand.
func numbers(name string, values []float64) column {
	return column{name, robust.Column{Values: values}}
}

// indicators of the words of a covariate, all but the commonest.
func (d *Data) indicators(c Covariate, rows, told []int) (cols []column, words *indicators) {
	codes, most := c.Codes, int32(0)
	for _, i := range rows {
		most = max(most, codes[i])
	}
	weight := make([]float64, most+1)
	for _, i := range rows {
		weight[codes[i]] += d.Planned[i]
	}
	reference := 0
	for k := range weight {
		if weight[k] > weight[reference] {
			reference = k
		}
	}
	words = &indicators{codes: codes, own: make([]bool, most+1)}
	for k, patients := range d.besideOthers(told, codes, int(most)+1) {
		if words.own[k] = k != reference && patients >= fewOnOneSide; words.own[k] {
			cols = append(cols, column{fmt.Sprintf("%s %d", c.Name, k), robust.Column{Codes: codes, Code: int32(k)}})
		}
	}
	return cols, words
}

// span reports whether the columns of the words, and a level for each mouth, make up
// another column: it depends on the word alone, and is the same in all words that stand
// together. That is looked for once.
func (w *indicators) span(c *column) bool {
	for k := range w.made {
		if c.is(&w.made[k].column) {
			return w.made[k].is
		}
	}
	is := w.makesUp(c)
	w.made = append(w.made, spanned{*c, is})
	return is
}

func (w *indicators) makesUp(c *column) bool {
	of, met := make([]float64, len(w.own)+1), make([]bool, len(w.own)+1)
	for i, word := range w.codes {
		k := 0 // those that stand together
		if int(word) < len(w.own) && w.own[word] {
			k = int(word) + 1
		}
		v := c.At(i)
		if met[k] && of[k] != v {
			return false
		}
		met[k], of[k] = true, v
	}
	return true
}

// modelOf lists the columns of adjusters but those that a later one which refines theirs
// makes up.
func modelOf(in []adjuster) (cols []column) {
	for i, a := range in {
		for k := range a.cols {
			c := &a.cols[k]
			if !slices.ContainsFunc(in[i+1:], func(b adjuster) bool {
				return b.words != nil && slices.Contains(b.refines, a.name) && b.words.span(c)
			}) {
				cols = append(cols, *c)
			}
		}
	}
	return cols
}

// besideOthers counts, for each of so many words, the patients in whose mouths it stands
// beside another: variesIn of all their indicators at once.
func (d *Data) besideOthers(rows []int, codes []int32, words int) []int {
	defer d.Arena.Release(d.Arena.Mark())
	first, mixed := d.Arena.Codes(d.mouths), make([]bool, d.mouths) // the first is counted from 1
	clear(first)
	for _, i := range rows {
		switch m, k := d.mouth[i], 1+codes[i]; {
		case first[m] == 0:
			first[m] = k
		case first[m] != k:
			mixed[m] = true
		}
	}
	out := make([]int, words)
	const bits = 64
	size := (words + bits - 1) / bits
	seen := d.Arena.Ints(d.patients * size) // a bit a word
	for _, i := range rows {
		k := int(codes[i])
		at, bit := d.patient[i]*size+k/bits, 1<<(k%bits)
		if mixed[d.mouth[i]] && seen[at]&bit == 0 {
			seen[at] |= bit
			out[k]++
		}
	}
	return out
}

// variesIn counts the patients in whose mouths a column differs.
func (d *Data) variesIn(rows []int, c *column) (n int) {
	defer d.Arena.Release(d.Arena.Mark())
	first, varied := d.Arena.Floats(d.mouths), d.Arena.Ints(d.patients)
	seen := d.Arena.Ints(d.mouths)
	for _, i := range rows {
		switch m := d.mouth[i]; {
		case seen[m] == 0:
			seen[m], first[m] = 1, c.At(i)
		case math.Abs(first[m]-c.At(i)) > 1e-9 && varied[d.patient[i]] == 0:
			varied[d.patient[i]] = 1
			n++
		}
	}
	return n
}

// compared counts the movements of rows less one a mouth, which its level takes.
func (d *Data) compared(rows []int) int {
	return len(rows) - distinct(d.mouth, d.mouths, rows)
}

// choose adds candidates while so many compared movements allow. left names those without
// room; missing is a required one among them.
func choose(candidates []adjuster, compared int) (in []adjuster, left []string, missing string) {
	room := compared / MovementsPerColumn
	for _, a := range candidates {
		columns := len(a.cols)
		for _, b := range in {
			if slices.Contains(a.refines, b.name) {
				columns -= len(b.cols)
			}
		}
		if columns > room {
			left = append(left, a.name)
			if a.required && missing == "" {
				missing = a.name
			}
			continue
		}
		room -= columns
		in = append(in, a)
	}
	return in, left, missing
}
