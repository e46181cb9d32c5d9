package page

import (
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"shortfall/audit"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/cmd/job"
	"shortfall/cmd/keep"
	"shortfall/ingest/casebook"
	"shortfall/ingest/scratch"
	"shortfall/report"
	"shortfall/report/section"
)

// largestDeclared of these files, bytes.
const largestDeclared = 256 << 20

func (p *practice) beside(ending string) string { return keep.Beside(p.Path, ending) }

func (s *server) cycleRoutes(on func(string, practiceHandler)) {
	on("GET /p/{practice}/cycle", s.cyclePage)
	on("POST /p/{practice}/cycle", s.declareForm)
	on("POST /p/{practice}/audits", s.keepAudit)
}

// criteria are what the practice declared; nil where it declared nothing.
func (p *practice) criteria() ([]byte, error) {
	data, err := scratch.Read(p.beside(keep.Criteria), largestDeclared)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// declare takes the criteria of the practice into the settings.
func (p *practice) declare(set *results.Settings) error {
	data, err := p.criteria()
	if err != nil || data == nil {
		return err
	}
	if err := job.Declare(set, filepath.Base(p.beside(keep.Criteria)), data); err != nil {
		return wrong(err.Error())
	}
	return nil
}

// cycleView is the page of targets and changes.
type cycleView struct {
	File     string
	Criteria *results.Criteria
	Error    string // of what was sent, or of the file
	Written  bool   // what was sent stands in the file
	Example  bool
	Saved    []savedAudit
	Standing template.HTML // how the practice stands against them
	Measures []measureName
	Options  map[string][]string
}

// measureName is a measure as a person calls it.
type measureName struct {
	Word results.Measure
	Text string
}

// blankRows of each kind that a form offers beyond those that are filled in.
const blankRows = 2

func (s *server) cyclePage(w http.ResponseWriter, r *http.Request, p *practice) error {
	v := cycleView{Criteria: &results.Criteria{Version: 1}}
	data, err := p.criteria()
	if err != nil {
		return err
	}
	if data != nil {
		c, err := declare.ParseCriteria(filepath.Base(p.beside(keep.Criteria)), data)
		if err != nil {
			v.Error = err.Error()
		} else {
			v.Criteria = c
		}
	}
	if v.Error == "" && data != nil {
		if v.Standing, err = s.standing(r, p); err != nil {
			return err
		}
	}
	v.Written = v.Error == "" && r.URL.Query().Get("saved") == "yes"
	return s.showCycle(w, r, p, v)
}

// standing is the part of the audit that answers the criteria, where the audit is at
// hand already.
func (s *server) standing(r *http.Request, p *practice) (template.HTML, error) {
	want, err := p.wanted(url.Values{})
	if err != nil {
		return "", nil //nolint:nilerr // the audit itself says it
	}
	a := p.atHand(want)
	if a == nil {
		return "", nil
	}
	doc, err := section.Document(a.res, section.Everything)
	if err != nil {
		return "", err
	}
	return drawn(doc.Part("annex-cycle"), p.enter(a, want))
}

func (s *server) showCycle(w http.ResponseWriter, r *http.Request, p *practice, v cycleView) error {
	var err error
	if v.Saved, err = p.savedAudits(); err != nil {
		return err
	}
	v.File = filepath.Base(p.beside(keep.Criteria))
	for range blankRows {
		v.Criteria.Criteria = append(v.Criteria.Criteria, results.Criterion{})
	}
	v.Criteria.Changes = append(v.Criteria.Changes, results.ProtocolChange{})
	v.Criteria.ActionsOf = append(v.Criteria.ActionsOf, results.Action{})
	v.Measures = []measureName{
		{results.OutsideTolerance, "share of movements outside tolerance"},
		{results.ExpressionRatio, "achieved, share of the plan (expression)"},
		{results.MeanShortfallOf, "mean shortfall, mm or degrees"},
		{results.CasesRefined, "share of cases refined"},
	}
	v.Options = cellOptions()
	return s.show(w, r, http.StatusOK, "cycle", view{Title: "Targets and changes", Practice: p, Tab: "cycle", Wide: true, Data: v})
}

// cellOptions are the words of each part of a cell, in print order.
func cellOptions() map[string][]string {
	out := map[string][]string{"course": {string(results.Initial), string(results.Refinement)}, "arch": {casebook.Upper.String(), casebook.Lower.String()}}
	for _, d := range casebook.Directions() {
		out["direction"] = append(out["direction"], d.String())
	}
	for _, a := range casebook.Axes() {
		out["axis"] = append(out["axis"], a.String())
	}
	for _, c := range casebook.ToothClasses() {
		out["tooth_class"] = append(out["tooth_class"], c.String())
	}
	for _, x := range casebook.Styles() {
		out["style"] = append(out["style"], x.String())
	}
	return out
}

// declareForm writes the criteria of a form into the file, the earlier one aside.
func (s *server) declareForm(w http.ResponseWriter, r *http.Request, p *practice) error {
	if err := r.ParseForm(); err != nil {
		return wrong("this form could not be read")
	}
	before, err := p.criteria()
	if err != nil {
		return err
	}
	c, err := criteriaOf(r.PostForm)
	if err == nil {
		_, err = declare.ParseCriteria("The form", declare.WriteCriteria(c))
	}
	if err != nil {
		return s.showCycle(w, r, p, cycleView{Criteria: c, Error: err.Error()})
	}
	if before != nil {
		if err := scratch.Replace(p.beside(keep.Earlier), func(w io.Writer) error { _, err := w.Write(before); return err }); err != nil {
			return err
		}
	}
	if err := scratch.Replace(p.beside(keep.Criteria), func(w io.Writer) error { _, err := w.Write(declare.WriteCriteria(c)); return err }); err != nil {
		return err
	}
	return s.to(w, r, p.path()+"/cycle?saved=yes")
}

// criteriaOf reads the form: rows of one kind are numbered from 0, and one without its
// first field is left out. What cannot be read is named; the rest is in the criteria
// all the same, so that nothing typed is lost.
func criteriaOf(f url.Values) (*results.Criteria, error) {
	c := &results.Criteria{Version: 1}
	x := formReader{f: f}
	for i := 0; f.Has(fmt.Sprintf("criterion %d name", i)); i++ {
		x.row = fmt.Sprintf("criterion %d ", i)
		k := results.Criterion{Name: x.text("name"), Measure: results.Measure(x.text("measure")), Course: results.CourseStratum(x.text("course")), Source: x.text("source")}
		x.enum("direction", &k.Direction)
		x.enum("axis", &k.Axis)
		x.enum("tooth_class", &k.ToothClass)
		x.enum("arch", &k.Arch)
		x.enum("style", &k.Style)
		x.enum("from", &k.From)
		k.Within = x.whole("within")
		for q := range strings.SplitSeq(x.text("baseline"), ",") {
			if q = strings.TrimSpace(q); q != "" {
				k.Baseline = append(k.Baseline, q)
			}
		}
		side := x.text("side")
		if v := x.number("value"); side == "at_least" || side == "" && k.Measure == results.ExpressionRatio { // more of the plan is better, less of all else
			k.AtLeast = v
		} else {
			k.AtMost = v
		}
		if k.Name != "" {
			c.Criteria = append(c.Criteria, k)
		}
	}
	x.changes(c)
	x.actions(c)
	x.primary(c)
	return c, x.err
}

// formReader reads the fields of one row; it keeps its first error.
type formReader struct {
	f   url.Values
	row string
	err error
}

func (x *formReader) text(name string) string { return strings.TrimSpace(x.f.Get(x.row + name)) }

func (x *formReader) enum(name string, into interface{ UnmarshalText([]byte) error }) {
	if v := x.text(name); v != "" {
		x.note(name, into.UnmarshalText([]byte(v)))
	}
}

func (x *formReader) note(name string, err error) {
	if err != nil && x.err == nil {
		x.err = fmt.Errorf("%s%s: %w", x.row, name, err)
	}
}

func (x *formReader) number(name string) *float64 {
	v := x.text(name)
	if v == "" {
		return nil
	}
	v, percent := strings.CutSuffix(strings.Replace(v, ",", ".", 1), "%")
	n, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
	switch {
	case err != nil:
		x.note(name, errors.New("a number such as 0.3 or 30 %"))
	case percent && x.text("measure") == string(results.MeanShortfallOf):
		x.note(name, errors.New("a mean shortfall is in mm or degrees, not in %"))
	case percent:
		n /= 100
	}
	return &n
}

func (x *formReader) whole(name string) int {
	v := x.text(name)
	if v == "" {
		return 0
	}
	n, err := strconv.Atoi(v)
	if err != nil {
		x.note(name, errors.New("a whole number of months"))
	}
	return n
}

func (x *formReader) changes(c *results.Criteria) {
	for i := 0; x.f.Has(fmt.Sprintf("change %d description", i)); i++ {
		x.row = fmt.Sprintf("change %d ", i)
		ch := results.ProtocolChange{Description: x.text("description"), Criteria: x.f[x.row+"criteria"]}
		x.enum("month", &ch.Month)
		if ch.Description != "" || ch.Month != 0 {
			c.Changes = append(c.Changes, ch)
		}
	}
}

func (x *formReader) actions(c *results.Criteria) {
	for i := 0; x.f.Has(fmt.Sprintf("action %d what", i)); i++ {
		x.row = fmt.Sprintf("action %d ", i)
		a := results.Action{What: x.text("what"), Owner: x.text("owner"), Criterion: x.text("criterion")}
		x.enum("due", &a.Due)
		x.enum("reaudit", &a.Reaudit)
		if a.What != "" {
			c.ActionsOf = append(c.ActionsOf, a)
		}
	}
}

func (x *formReader) primary(c *results.Criteria) {
	x.row = "primary "
	if x.text("direction") == "" {
		return
	}
	q := &results.PrimaryQuestion{Course: results.CourseStratum(x.text("course"))}
	x.enum("direction", &q.Direction)
	x.enum("tooth_class", &q.ToothClass)
	x.enum("arch", &q.Arch)
	x.enum("declared", &q.Declared)
	for v := range strings.SplitSeq(x.text("looks"), ",") {
		if v = strings.TrimSpace(v); v != "" {
			m, err := casebook.ParseMonth(v)
			x.note("looks", err)
			q.Looks = append(q.Looks, m)
		}
	}
	c.Primary = q
}

// savedAudit is one audit that was kept with its results.
type savedAudit struct{ Name, Text string }

// savedAudits lists the audits of a practice that were kept, the latest first.
func (p *practice) savedAudits() (out []savedAudit, err error) {
	entries, err := os.ReadDir(p.beside(keep.Audits))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, e := range entries {
		if name := e.Name(); e.Type().IsRegular() && filepath.Ext(name) == ".json" && !strings.HasPrefix(name, ".") {
			out = append(out, savedAudit{name, strings.TrimSuffix(name, ".json")})
		}
	}
	slices.SortFunc(out, func(a, b savedAudit) int { return strings.Compare(b.Name, a.Name) })
	return out, err
}

// saved reads an audit that was kept; only names on the list are opened.
func (p *practice) saved(name string) (*results.Results, error) {
	list, err := p.savedAudits()
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(list, func(a savedAudit) bool { return a.Name == name }) {
		return nil, wrong("this audit was not kept, or was taken away")
	}
	data, err := scratch.Read(filepath.Join(p.beside(keep.Audits), name), largestDeclared)
	if err != nil {
		return nil, err
	}
	return audit.ParsePrevious(name, data)
}

// keepAudit saves the results of an audit under its date and settings.
func (s *server) keepAudit(w http.ResponseWriter, r *http.Request, p *practice) error {
	settings, err := url.ParseQuery(r.FormValue("settings"))
	if err != nil {
		return wrong("this form could not be read")
	}
	want, err := p.wanted(settings)
	if err != nil {
		return err
	}
	a := p.atHand(want)
	if a == nil {
		return wrong("the records have changed since this audit was made; look at it as it is now, and keep that")
	}
	dir := p.beside(keep.Audits)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	base := a.res.Provenance.Date
	if m := a.res.Scope; m.Movements > 0 {
		base += " " + wording.Period(m)
	}
	base = safeName(base)
	for i := 1; ; i++ {
		name := base
		if i > 1 {
			name += fmt.Sprintf(" (%d)", i)
		}
		err := scratch.Create(filepath.Join(dir, name+".json"), func(w io.Writer) error { return report.JSON(w, a.res) })
		if !errors.Is(err, fs.ErrExist) {
			if err != nil {
				return err
			}
			return s.to(w, r, p.path()+"/cycle#kept")
		}
	}
}
