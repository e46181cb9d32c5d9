package page

import (
	"context"
	"encoding/json"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/queue"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/store"
)

// line is one file in the list of those in work.
type line struct {
	N           int
	Name, State string
	Came        string // when it was dropped, where another of its name was too
	Settled     bool   // nothing can be gone on with
	Task        *queue.Task
}

func (s *server) readList(w http.ResponseWriter, r *http.Request, p *practice) error {
	files, err := p.db.Files(r.Context())
	if err != nil {
		return err
	}
	var lines []line
	for _, u := range p.held() {
		u.mu.Lock()
		if u.kept != nil {
			u.mu.Unlock()
			continue // its records are among the files read
		}
		l := line{N: u.N, Name: u.Name, State: u.state()}
		if !u.task.State().Ended {
			l.Task = u.task
		}
		u.mu.Unlock()
		l.Settled = l.State == "unreadable"
		for _, other := range p.held() {
			if other != u && other.Name == u.Name && !other.isKept() {
				l.Came = "dropped at " + u.came.Format("15:04:05")
			}
		}
		lines = append(lines, l)
	}
	return s.show(w, r, http.StatusOK, "read", view{Title: "Read spreadsheets", Practice: p, Tab: "read", Data: map[string]any{
		"Lines": lines, "Files": len(files), "Most": mostFiles,
	}})
}

// State of an upload in a word; the caller holds its lock.
func (u *upload) state() string {
	switch {
	case u.kept != nil:
		return "kept"
	case !u.task.State().Ended:
		return "being read"
	case u.task.State().Error != "":
		return "stopped"
	case u.err != nil:
		return "unreadable"
	case u.refused != nil && len(personal(u.refused)) > 0:
		return "may identify a person"
	case u.refused != nil && len(u.refused.Questions) > 0:
		return "has questions for you"
	case u.refused != nil:
		return "refused"
	case u.asks != nil:
		return "open: whose cases these are"
	case job.ManyLeftOut(u.batch) != "":
		return "much of it is left out: look at it first"
	}
	return "ready to accept"
}

// identifiers is how the rules of the screen begin.
const identifiers = "identifier-"

// personal are the findings of the screen among the reasons of a refusal; those that
// somebody allowed are remarks.
func personal(refused *ingest.Refused) (out []casebook.Problem) {
	if refused == nil {
		return nil
	}
	for _, p := range refused.Problems {
		if strings.HasPrefix(p.Rule, identifiers) && p.Severity == casebook.Error {
			out = append(out, p)
		}
	}
	return out
}

// mostNamed is how many of the cases that are asked about are named.
const mostNamed = 8

// sheetPage is what the page of one file shows.
type sheetPage struct {
	N          int
	Name       string
	State      string
	Task       *queue.Task
	Error      string
	Personal   []finding
	Leavable   []leaving // columns without which nothing of that is read
	Codes      bool      // one of those named could hold the codes of the cases
	Questions  []asked
	Answered   []answered
	Findings   []finding
	Understood *job.Understanding
	Unread     []string // columns of which nothing is taken
	Earlier    bool     // files were read before
	Counts     string
	Asks       *store.Error
	AsksCode   bool     // the practice is not told
	Named      []string // cases asked about
	Unnamed    int      // and how many more
	Spelt      bool     // what is asked is whether codes in another spelling are the same patients'
	Whose      *string
	Initials   bool       // proposed in place of a name that could be a person's
	Apart      string     // how the lists of cases and the movements do not fit together
	Lost       string     // movements on record that this version refuses
	Fewer      string     // how many rows are left out, where that are many
	Open       []openFile // the others, once this one is kept
	Kept       *keptView
	NoCopy     string  // why no pseudonymised copy could be made
	Origin     *origin // of a pseudonymised copy
	Grid       *gridView
}

// asked is a question with what was answered so far.
type asked struct {
	question.Question
	Given []string
	Again bool   // answered, and not with one of the choices
	As    string // the file for which the proposed answer was given
}

// Names reports a question whose choices are called as the sheet calls its columns.
func (a asked) Names() bool { return strings.HasPrefix(a.ID, "column ") }

// Likely are the choices that stand open, and Others those in a fold below: where the
// question says how many are near, and none of the others was taken or is proposed.
func (a asked) Likely() []question.Choice { return a.Choices[:a.near()] }

// Others are the choices that are not likely.
func (a asked) Others() []question.Choice { return a.Choices[a.near():] }

func (a asked) near() int {
	all := len(a.Choices)
	if a.Near <= 0 || a.Near >= all || slices.ContainsFunc(a.Choices[a.Near:], func(c question.Choice) bool { return a.Has(c.Word) }) {
		return all
	}
	return a.Near
}

// Of what the counts of the choices are.
func (a asked) Of() string {
	if strings.HasPrefix(a.ID, "twice") || strings.HasPrefix(a.ID, "amounts ") {
		return "movement"
	}
	return "cell"
}

// Has reports a choice that was taken, or is proposed.
func (a asked) Has(word string) bool {
	if len(a.Given) == 0 {
		return a.Proposes(word)
	}
	return slices.Contains(a.Given, word)
}

// Proposes reports a choice that is proposed, whatever was answered.
func (a asked) Proposes(word string) bool {
	return a.Proposed == word || a.Several && slices.Contains(strings.Split(a.Proposed, ","), word)
}

// answered is an answer that this reading rests on and that can be taken back.
type answered struct{ ID, Name, Text string }

// hashed are the parts of an id that tell layouts and findings apart and nothing else.
var hashed = regexp.MustCompile(`( of headers)? [0-9a-f]{8}$`)

// answeredOf is an answer in the words in which it was given, where they are known.
func answeredOf(id, word string, told []casebook.Problem) answered {
	out := answered{id, hashed.ReplaceAllString(id, ""), word}
	if asked, text := saidOf(word, told); asked != "" && !strings.HasPrefix(id, "column ") {
		out.Name, out.Text = asked, text
	}
	if out.Name == "amounts" {
		out.Name = "amounts that can hardly be right"
	}
	if strings.HasPrefix(id, "column ") && strings.Contains(id, " of ") {
		choices := ingest.ColumnChoices()
		if i := slices.IndexFunc(choices, func(c question.Choice) bool { return c.Word == word }); i >= 0 {
			out.Text = choices[i].Text
		}
	}
	return out
}

// answeredAs is how a reading says what was answered.
var answeredAs = regexp.MustCompile(`^(.*\?) Answered: (.+) \((.+)\)$`)

// shared reports a word that answers several questions.
func shared(answers question.Answers, word string) bool {
	n := 0
	for _, w := range answers {
		if w == word {
			n++
		}
	}
	return n > 1
}

// saidOf finds the question and the words of the one answer that was told with a word, ""
// where none or several were.
func saidOf(word string, told []casebook.Problem) (asked, text string) {
	for _, p := range told {
		m := answeredAs.FindStringSubmatch(p.Message)
		if p.Rule != string(rules.QuestionAnswered) || m == nil || m[2] != word {
			continue
		}
		if asked != "" {
			return "", ""
		}
		asked, text = m[1], m[3]
	}
	return asked, text
}

// finding is a group of problems as the page lists it.
type finding struct {
	feedback.Finding
	Remedy string
	Link   string // to the first of them in the grid
	Only   string // the grid with these rows alone
}

func (s *server) readSheet(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	before, err := p.given(r.Context(), u)
	if err != nil {
		return err
	}
	u.mu.Lock()
	page := u.page(r, sheetPath(p, u))
	page.propose(before, &u.points)
	batch := u.batch
	u.mu.Unlock()
	if page.Understood != nil && page.Kept == nil {
		files, err := p.db.Files(r.Context())
		if err != nil {
			return err
		}
		page.Earlier = len(files) > 0
		if page.Whose, err = p.proposes(r.Context(), batch); err != nil {
			return err
		}
		page.Initials = page.Whose != nil && *page.Whose != "" && *page.Whose == codeOf(p.Name) && !harmless(p.Name)
		if page.Apart, err = p.apart(r.Context(), u); err != nil {
			return err
		}
		if page.Lost, err = p.lost(r.Context(), batch, page.Whose); err != nil {
			return err
		}
	}
	if page.Kept != nil {
		page.Open, _ = p.openFiles()
		fit, err := job.FitOf(r.Context(), p.db)
		if err != nil {
			return err
		}
		if fit.Apart() {
			page.Apart = fit.String()
		}
	}
	return s.show(w, r, http.StatusOK, "sheet", view{Title: page.Name, Practice: p, Tab: "read", Wide: true, Data: page, Job: page.Task})
}

// given are the answers to questions of other files of the practice, those that were kept
// and those in work; the last of a question is proposed for this one.
func (p *practice) given(ctx context.Context, of *upload) (map[string]answer, error) {
	out := map[string]answer{}
	profiles, err := p.db.Profiles(ctx)
	if err != nil {
		return nil, err
	}
	for _, f := range profiles {
		var a question.Answers
		if json.Unmarshal(f.Content, &a) == nil {
			for id, word := range a {
				out[id] = answer{word, f.Name}
			}
		}
	}
	for _, u := range p.held() {
		if u == of {
			continue
		}
		u.mu.Lock()
		for id, word := range u.answers {
			out[id] = answer{word, u.Name}
		}
		u.mu.Unlock()
	}
	return out, nil
}

// answer is an answer and the file for which it was given.
type answer struct{ word, file string }

// propose takes answers of other files to the same questions, where they are among the
// choices here: what was answered once is confirmed and not asked as if it were new.
func (out *sheetPage) propose(before map[string]answer, ps *points) {
	for i := range out.Questions {
		q := &out.Questions[i]
		id, _ := ps.means(q.ID, "")
		b, ok := before[id]
		if !ok || len(q.Given) > 0 {
			continue
		}
		for _, c := range q.Choices { // of a question that is hidden, the name of the choice
			if _, word := ps.means(q.ID, c.Word); word == b.word {
				b.word = c.Word
			}
		}
		if q.Question.Has(b.word) {
			q.Proposed, q.As = b.word, b.file
		}
	}
}

// apart says so where the lists of cases and the movements would not fit together with the
// file kept, "" where they do; it is asked before the file is kept.
func (p *practice) apart(ctx context.Context, u *upload) (string, error) {
	u.mu.Lock()
	b := u.batch
	asked := u.asks != nil // another question of the store, put after this one
	u.mu.Unlock()
	if b == nil || asked {
		return "", nil
	}
	fit, err := job.FitWith(ctx, p.db, b)
	if err != nil || !fit.Apart() {
		return "", err
	}
	return fit.String(), nil
}

// page puts together what a file's page shows; the caller holds the lock.
func (u *upload) page(r *http.Request, path string) *sheetPage {
	out := &sheetPage{N: u.N, Name: u.Name, State: u.state(), NoCopy: u.noCopy, Origin: u.origin}
	state := u.task.State()
	if !state.Ended && u.kept == nil {
		out.Task = u.task
		return out
	}
	switch {
	case state.Error != "":
		out.Error = state.Error
	case u.err != nil:
		out.Error = inWindow(u.err.Error())
	}
	problems := ingest.Problems(u.err)
	switch {
	case u.refused != nil:
		problems = u.refused.Problems
		for _, q := range append(u.first, u.refused.Questions...) {
			a := asked{Question: q}
			id, _ := u.points.means(q.ID, "")
			if given := u.answers[id]; given != "" {
				a.Given, a.Again = strings.Split(given, ","), true
			}
			out.Questions = append(out.Questions, a)
		}
	case u.batch != nil:
		problems = u.batch.Problems
		understood := job.Understood(u.batch)
		report := feedback.NewReport(u.Name, u.batch, nil)
		out.Unread = unread(u.view)
		out.Understood, out.Counts, out.Fewer = &understood, job.CountsText(report.Total), job.ManyLeftOut(u.batch)
	}
	out.Answered = u.answered(out.Questions, problems)
	out.findings(problems, path)
	if out.Asks = u.asks; u.asks != nil {
		out.Spelt = u.asks.Kind == store.Spelling
		out.Named = names(u.asks.Cases[:min(len(u.asks.Cases), mostNamed)])
		out.Unnamed = len(u.asks.Cases) - len(out.Named)
		out.AsksCode = u.asks.Kind == store.PracticeOpen || u.asks.Kind == store.Clash
	}
	if u.kept != nil {
		out.Kept = keptOf(*u.kept)
	} else if u.view != nil {
		out.Leavable = leavable(personal(u.refused), u.view)
		if codes := codeColumns(u.first, &u.points); len(out.Leavable) > 0 && len(codes) > 0 {
			out.Leavable = slices.DeleteFunc(out.Leavable, func(l leaving) bool { return codes[l.Letter()] })
			out.Codes = true
		}
		out.Grid = u.grid(r, path, problems)
	}
	return out
}

// answered are the answers to what is not asked any more, by id.
func (u *upload) answered(open []asked, problems []casebook.Problem) (out []answered) {
	for id, word := range u.answers {
		point := u.points.name(id)
		if slices.ContainsFunc(open, func(q asked) bool { return q.ID == id || q.ID == point }) {
			continue
		}
		told := problems
		if shared(u.answers, word) { // whose question was told cannot be seen
			told = nil
		}
		a := answeredOf(id, word, told)
		if point != "" && !lexicon.AllKnown(a.Name+" "+a.Text) {
			a = answered{point, point, "answered"} // the id, and a choice, can repeat a cell
		} else if point != "" {
			a.ID = point
		}
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b answered) int { return strings.Compare(a.ID, b.ID) })
	return out
}

// findings lists problems by kind, those of the screen apart and first. What is a
// question stands with the questions.
func (out *sheetPage) findings(problems []casebook.Problem, path string) {
	open := map[string]bool{}
	for _, q := range out.Questions {
		open[rule(q.Question)] = true
	}
	var list []casebook.Problem
	for _, p := range problems {
		if open[p.Rule] && p.Severity == casebook.Error && !strings.HasPrefix(p.Rule, identifiers) {
			continue
		}
		list = append(list, p)
	}
	for _, f := range feedback.Across(feedback.Groups(list)) {
		if f.Count > 1 && (f.Rule == string(rules.MovementDuplicate) || f.Rule == string(rules.CaseConflict)) {
			f.Message = f.Title // the message names the other row of the first alone
		}
		if f.Severity == casebook.Info && !strings.HasPrefix(f.Rule, identifiers) {
			continue // said under what was understood
		}
		x := finding{Finding: f, Remedy: remedyOf(f), Only: path + "?" + address.Query("rule", f.Rule) + "#grid"}
		for _, p := range list {
			if row, _ := sheet.Place(p.Cell); p.Rule == f.Rule && p.Row+row > 0 {
				x.Link = path + "?" + address.Query("sheet", p.Sheet, "row", strconv.Itoa(max(p.Row, row))) + "#" + anchor(p)
				break
			}
		}
		if strings.HasPrefix(f.Rule, identifiers) && f.Severity == casebook.Error {
			out.Personal = append(out.Personal, x)
		} else {
			out.Findings = append(out.Findings, x)
		}
	}
}

// remedyOf says what can be done, in the window too.
func remedyOf(f feedback.Finding) string {
	out := inWindow(f.Remedy)
	if f.Rule == string(rules.CaseConflict) {
		out += "; or, where a column is not one of the case, choose “not to be read” for it in the sheet below"
	}
	return out
}

func rule(q question.Question) string {
	if q.Rule != "" {
		return q.Rule
	}
	return string(rules.QuestionOpen)
}

func anchor(p casebook.Problem) string {
	if p.Cell != "" {
		return p.Cell
	}
	return "row" + strconv.Itoa(p.Row)
}

// inWindow leaves out of a remedy what only a command line can do: the page has
// buttons for it.
func inWindow(remedy string) string {
	var keep []string
	for _, part := range strings.Split(remedy, "; ") {
		var sentences []string
		for _, s := range strings.Split(part, ". ") {
			if !strings.Contains(s, "--") && !strings.Contains(s, "shortfall ") && !strings.Contains(s, "mapping file") && !strings.Contains(s, "waiver") {
				sentences = append(sentences, s)
			}
		}
		if len(sentences) > 0 {
			keep = append(keep, strings.Join(sentences, ". "))
		}
	}
	return strings.Join(keep, "; ")
}

// keptView says what became of the records of a file.
type keptView struct {
	Already bool
	Rows    []keptRow
	Retired bool
	Later   []string
	Renamed []string
	Absent  []string
	Aside   []string
	Erased  int
	Refused int // of the movements that are no longer taken
}

type keptRow struct {
	Kind    string
	Refused int
	store.Tally
}

func keptOf(o store.Outcome) *keptView {
	v := &keptView{Already: o.Already, Erased: o.Erased, Refused: o.Refused}
	for _, k := range casebook.Kinds() {
		if t := o.Tallies[k]; t != (store.Tally{}) {
			row := keptRow{Kind: k.String() + "s", Tally: t}
			if k == casebook.MovementKind {
				row.Refused = o.Refused
				row.Retired -= o.Refused
			}
			v.Rows = append(v.Rows, row)
			v.Retired = v.Retired || row.Retired > 0
		}
	}
	for _, f := range o.Earlier {
		v.Later = append(v.Later, f.Name)
	}
	for _, x := range o.Renamed {
		v.Renamed = append(v.Renamed, x.From.String()+" is now "+x.To.String())
	}
	v.Absent, v.Aside = names(o.Absent), names(o.Aside)
	return v
}

func names(keys []casebook.CaseKey) (out []string) {
	for _, k := range keys {
		out = append(out, k.String())
	}
	return out
}
