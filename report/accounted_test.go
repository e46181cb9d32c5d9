package report

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/paper"
)

// account is what the results say of the numbers of the first pages. Results hold so
// many numbers that one taken out of the air is among them: a number in a sentence must
// stand there among the same words, and a number that is drawn must be that of its datum.
type account struct {
	sentences string
	data      map[string]numbers // by the key of what is drawn
	figures   map[string]numbers // of figures whose numbers have no keys
}

type numbers map[string]bool

// ratio, amount and count add a value in the forms in which it may be printed.
func (n numbers) ratio(vs ...results.Number) {
	for _, v := range vs {
		n[strconv.FormatFloat(math.Floor(math.Abs(100*float64(v))+0.5+1e-9), 'f', 0, 64)] = true
		n[strconv.FormatFloat(math.Abs(100*float64(v)), 'f', 0, 64)] = true
		if math.Abs(100*float64(v)) < 0.5 { // the limit of a difference
			n[strconv.FormatFloat(math.Abs(100*float64(v)), 'f', 1, 64)] = true
			n[strconv.FormatFloat(math.Abs(100*float64(v)), 'f', 2, 64)] = true
		}
	}
}

func (n numbers) amount(v results.Number) {
	for dec := range 3 {
		n[wording.Fixed(results.Number(math.Abs(float64(v))), dec)] = true
	}
}

func (n numbers) count(vs ...int) {
	for _, v := range vs {
		n[strconv.Itoa(v)] = true
	}
}

// Its length is that of the list of what is drawn.
func accountOf(t *testing.T, r *results.Results) account {
	t.Helper()
	a := account{data: map[string]numbers{}, figures: map[string]numbers{}}
	of := func(key string) numbers {
		if a.data[key] == nil {
			a.data[key] = numbers{}
		}
		return a.data[key]
	}
	for _, g := range r.Front.Dots.Groups {
		for _, x := range g.Rows {
			n := of("direction " + x.By.Direction.String())
			n.ratio(x.Software, x.Clinician, x.Mean, x.MeanLow, x.MeanHigh, x.Difference, x.Low, x.High)
			n.amount(x.Amount)
			for _, v := range []results.Number{x.Software, x.Clinician} { // rounded so that the pair stands apart by its points
				n.count(int(math.Floor(math.Abs(100*float64(v)))), int(math.Ceil(math.Abs(100*float64(v)))))
			}
			for _, c := range r.Comparisons {
				if c.By == x.By {
					n.count(c.Both)
				}
			}
		}
	}
	for i := range r.Expression {
		c := &r.Expression[i]
		if c.By == (results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: results.Initial}) && c.By.Direction != casebook.NoDirection {
			n := of("direction " + c.By.Direction.String())
			n.ratio(c.Estimate, c.Low, c.High, c.AveragePatient.Value, c.OutsideTolerance.Value)
			n.count(c.Cases, c.Movements)
		}
	}
	for _, x := range r.Front.Arches.Axes {
		name := x.Axis.String()
		if x.Direction != casebook.NoDirection {
			name = x.Direction.String()
		}
		for _, k := range x.Kinds {
			n := of(x.KindKey(&k))
			n.ratio(k.Value, k.Low, k.High)
			n.amount(k.Short)
			n.count(k.Cases)
		}
		for _, tooth := range x.Teeth {
			of("tooth " + name + " " + tooth.Tooth.String()).ratio(tooth.Value)
			of("tooth " + name + " " + tooth.Tooth.String())[tooth.Tooth.In(r.Provenance.Settings.Notation)] = true
		}
	}
	for _, x := range r.Front.Changes.Rows {
		n := of("change direction " + x.By.Direction.String() + " " + string(x.By.Course))
		n.ratio(x.Before, x.Now, x.Change, x.ChangeLow, x.ChangeHigh)
		n.count(x.CasesBefore, x.CasesNow)
	}
	for i, x := range r.Front.Recorded {
		of(fmt.Sprintf("recorded-%d", i)).count(x.Recorded, x.Total)
	}
	for _, b := range r.Refinements.Distribution {
		of("refinements " + b.Label).count(b.Cases)
		of("all refinements " + b.Label).count(b.Cases)
	}
	for _, x := range r.Refinements.ByStyle {
		for _, b := range x.Distribution {
			of("mainly " + x.Style.String() + " refinements " + b.Label).count(b.Cases)
		}
	}
	for _, p := range r.Questions.Switches.Paths {
		n := of("path " + p.Axis.String() + " " + p.From.String() + " " + p.To.String())
		n.ratio(p.First.Value, p.Next.Value)
		n.count(p.Cases)
	}
	for _, c := range r.Questions.Switches.Contrasts {
		of("path "+c.By.Axis.String()+" "+c.From.String()+" "+c.To.String()).ratio(c.Adjusted.Difference, c.Adjusted.Low, c.Adjusted.High)
	}
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		n := of("reading-" + strings.ReplaceAll(c.By.Direction.String(), " ", "-"))
		n.count(c.Both)
		n.ratio(c.Adjusted.Difference, c.Adjusted.Low, c.Adjusted.High)
		for _, x := range c.Readings {
			n.ratio(x.Difference.Difference, x.Difference.Low, x.Difference.High)
		}
	}
	for _, x := range r.Front.Flow.Steps {
		key := "flow rows"
		if x.Step > 0 {
			key = fmt.Sprintf("flow %d", x.Step)
		}
		a.data[key], a.data[fmt.Sprintf("left %d", x.Step)] = within(t, x), within(t, x.Left)
	}
	a.figures["changes"] = within(t, r.Front.Changes.Now)
	a.figures["flow-short"] = within(t, r.Front.Flow)
	a.figures["refined"] = within(t, r.Refinements.Distribution)
	a.figures["refinements"], a.figures["followup-curve"] = within(t, r.Refinements), within(t, r.FollowUp.At)
	a.figures["criteria"], a.figures["quarter"] = within(t, r.Questions.Reaudit), within(t, r.Questions.Quarter)
	a.figures["actions"] = a.figures["criteria"]
	a.sentences = plain(strings.Join(slices.Sorted(maps.Keys(textsOf(t, r))), " \n "))
	return a
}

// within are the numbers of one part of the results.
func within(t *testing.T, part any) numbers {
	t.Helper()
	b, err := json.Marshal(part)
	require.NoError(t, err)
	return numbersOf(string(b))
}

// textsOf are all texts of the results, each once, as the file has them: it is long, and
// is not decoded for this.
func textsOf(t *testing.T, r *results.Results) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	js := fileOf(t, r)
	for i := 0; i < len(js); i++ {
		if js[i] != '"' {
			continue
		}
		to := i + 1
		for ; js[to] != '"'; to++ {
			if js[to] == '\\' {
				to++
			}
		}
		if raw := js[i : to+1]; !out[string(raw)] {
			out[string(raw)] = true
		}
		i = to
	}
	texts := map[string]bool{}
	for raw := range out {
		s := raw[1 : len(raw)-1]
		if strings.Contains(s, "\\") { // else it stands for itself
			require.NoError(t, json.Unmarshal([]byte(raw), &s))
		}
		texts[s] = true
	}
	return texts
}

// plain is a text in lower case, with plain single spaces: a renderer makes sentences of
// warnings and keeps numbers with their units.
func plain(s string) string {
	s = strings.NewReplacer("\u2009", "", "\u00a0", " ").Replace(s)
	return strings.ToLower(strings.Join(strings.Fields(s), " "))
}

var (
	number = regexp.MustCompile(`[0-9]+(?:\.[0-9]+)?`)
	// own are the numbers of a renderer: the level of intervals, the
	// steps of a legend, the end of a scale.
	own    = regexp.MustCompile(`95 % ci|has all [0-9]+|^under 35 %$|^35 to 49$|^50 to 64$|^65 and over$|^100 % of the plan$|iso 3950|^made by shortfall [0-9.]+; results schema [0-9.]+; dated [0-9-]+`)
	isDate = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}(-[0-9]{2})?$`)
	// ownLabel is that of a figure, a table or a page.
	ownLabel = regexp.MustCompile(`^(figure|table) [0-9]+(, continued)?( · )?|page [0-9]+ of [0-9]+|(^|, )page [0-9]+$`)
)

// said are the letters that a number must have about it to be told as part of a sentence.
const said, about = 6, 24

// sentence is the least length of a text that may stand in the results as a whole.
const sentence = 40

// inSentence reports whether a number stands in the results among the same words.
func (a *account) inSentence(text string, at []int) bool {
	from, to := max(0, at[0]-about), min(len(text), at[1]+about)
	if i := strings.LastIndex(text[from:at[0]], ". "); i >= 0 { // a sentence before may be of another text
		from += i + 2
	}
	if i := strings.Index(text[at[1]:to], ". "); i >= 0 {
		to = at[1] + i
	}
	window := strings.Trim(text[from:to], " .;:")
	letters := strings.Count(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return 'x'
		}
		return -1
	}, window), "x")
	return letters >= said && strings.Contains(a.sentences, window)
}

// check lists the numbers of a text that nothing accounts for.
func (a *account) check(text string, known numbers) (out []string) {
	text = plain(text)
	if isDate.MatchString(text) && strings.Contains(a.sentences, " "+text+" ") {
		return nil
	}
	if whole := strings.Trim(text, " ."); len(whole) >= sentence && strings.Contains(a.sentences, whole) {
		return nil
	}
	ours := own.FindAllStringIndex(text, -1)
	for _, at := range number.FindAllStringIndex(text, -1) {
		if slices.ContainsFunc(ours, func(o []int) bool { return o[0] <= at[0] && at[1] <= o[1] }) {
			continue
		}
		if s := text[at[0]:at[1]]; !known[s] && !a.inSentence(text, at) {
			out = append(out, fmt.Sprintf("%s of %q", s, text))
		}
	}
	return out
}

// unaccounted lists the numbers of a document that no result accounts for.
func unaccounted(a *account, d *document.Document) (out []string) {
	d.Walk(func(b document.Block, _ int) {
		switch b := b.(type) {
		case document.Section:
			for _, s := range append(b.Over, b.Title) {
				out = append(out, a.check(s, nil)...)
			}
		case document.Para:
			out = append(out, a.text(b.Text)...)
		case document.Table:
			out = append(out, a.table(&b)...)
		case document.Figure:
			out = append(out, a.figure(&b)...)
		}
	})
	return out
}

func (a *account) text(t document.Text) (out []string) {
	for _, s := range t {
		out = append(out, a.check(s.Text, nil)...)
		out = append(out, a.notes(s.Notes)...)
	}
	return out
}

func (a *account) notes(ns []document.Note) (out []string) {
	for _, n := range ns {
		out = append(out, a.check(n.Text, nil)...)
	}
	return out
}

func (a *account) table(t *document.Table) (out []string) {
	out = append(a.check(t.Title, nil), a.text(t.Below)...)
	for _, c := range t.Columns {
		out = append(out, a.check(c.Title, nil)...)
	}
	for _, r := range t.Rows {
		known := a.figures[t.ID]
		if r.ID != "" {
			known = a.data[r.ID]
		}
		out = append(out, a.text(r.Group)...)
		for _, c := range r.Cells {
			out = append(append(out, a.check(c.Text, known)...), a.notes(c.Notes)...)
		}
	}
	return out
}

func (a *account) figure(f *document.Figure) (out []string) {
	out = append(append(a.check(f.Title, nil), a.text(f.Sub)...), append(a.text(f.Below), a.notes(f.Notes)...)...)
	for _, d := range f.Drawings {
		out = append(out, a.drawn(d.Draw(174).Items, a.figures[f.ID], true)...)
	}
	return out
}

// tick is a number alone, or an end of the scale of differences: it may be one of a scale,
// outside of what is drawn of a datum.
var tick = regexp.MustCompile(`^−(25|50|100)$|^\+(25|50|100) points$|^(0|[1-9]\d?|1[0-4]\d|150|0?\.\d|1\.5)$`)

func (a *account) drawn(items []chart.Item, known numbers, scale bool) (out []string) {
	for _, it := range items {
		switch it := it.(type) {
		case chart.Key:
			out = append(out, a.drawn(it.Items, a.keyed(it.ID), false)...)
		case chart.Group:
			out = append(out, a.drawn(it.Items, known, scale)...)
		case chart.Text:
			if scale && tick.MatchString(plain(it.Text)) {
				continue
			}
			out = append(out, a.check(it.Text, known)...)
		}
	}
	return out
}

// keyed are the numbers of a datum; none is known of a key that the results do not have.
func (a *account) keyed(id string) numbers {
	if n := a.data[id]; n != nil {
		return n
	}
	return numbers{}
}

// unfounded lists what a laid-out document prints and its document does not say: runs of
// digits are compared, since lines break where they may.
func unfounded(p *paper.Doc, d *document.Document) (out []string) {
	in := plain(everything(d))
	for _, b := range p.Boxes() {
		text := ownLabel.ReplaceAllString(plain(b.Text), "")
		if tick.MatchString(text) || strings.HasSuffix(text, "…") || !strings.ContainsFunc(text, unicode.IsDigit) {
			continue
		}
		if !strings.Contains(in, strings.TrimSpace(text)) {
			out = append(out, fmt.Sprintf("page %d prints %q", b.Page, b.Text))
		}
	}
	return out
}

// everything is every text of a document.
func everything(d *document.Document) string {
	var all strings.Builder
	put := func(texts ...string) {
		for _, s := range texts {
			all.WriteString(s + " \n ")
		}
	}
	notes := func(ns []document.Note) {
		for _, n := range ns {
			put(n.Text)
		}
	}
	put(d.Foot)
	d.Walk(func(b document.Block, _ int) {
		switch b := b.(type) {
		case document.Section:
			put(append(b.Over, b.Title)...)
		case document.Para:
			put(b.Text.Plain())
			for _, s := range b.Text {
				notes(s.Notes)
			}
		case document.Table:
			put(b.Title, b.Below.Plain())
			for _, c := range b.Columns {
				put(c.Title)
			}
			for _, r := range b.Rows {
				put(r.Group.Plain())
				for _, c := range r.Cells {
					put(c.Text)
					notes(c.Notes)
				}
			}
		case document.Figure:
			put(b.Title, b.Sub.Plain(), b.Below.Plain())
			notes(b.Notes)
			for _, dr := range b.Drawings {
				for _, x := range dr.Draw(174).Texts() {
					put(x.Text)
				}
			}
		}
	})
	return all.String()
}
