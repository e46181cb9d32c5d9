package corpus

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/decide"
	"shortfall/ingest/question"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
	"shortfall/ingest/store/storetest"
	"shortfall/ingest/values"
)

// truth is what a person intends by one sheet of testdata/corpus, written down
// by somebody who had not seen the reader (README.md there).
type truth struct {
	Language string                     `json:"language"`
	Kind     string                     `json:"kind"`
	Refuse   string                     `json:"refuse"`
	Facts    map[string]json.RawMessage `json:"facts"`
	Records  []trueRecord               `json:"records"`
	Cases    []trueCase                 `json:"cases"`
}

type trueRecord struct {
	Case           string   `json:"case"`
	Course         int      `json:"course"`
	Tooth          int      `json:"tooth"`
	Axis           string   `json:"axis"`
	Planned        float64  `json:"planned"`
	Achieved       *float64 `json:"achieved"`
	Style          *string  `json:"style"`
	DirectionKnown bool     `json:"direction_known"`
	Shape          string   `json:"shape"`
	Size           any      `json:"size"`
	Orientation    string   `json:"orientation"`
	Staging        string   `json:"staging"`
	Lost           *bool    `json:"lost"`
}

type trueCase struct {
	Case   string `json:"case"`
	Start  string `json:"start"`
	End    string `json:"end"`
	Status string `json:"status"`
	Wear   string `json:"wear"`
}

// outcome of reading one sheet of the corpus.
type scored int

const (
	rightAtOnce scored = iota
	rightAfter
	refusedWhole
	refusedPart
	silentlyWrong
	outcomes
)

var scoreNames = [...]string{"right at once", "after answers", "refused", "in part", "wrong"}

func (s scored) right() bool { return s == rightAtOnce || s == rightAfter }

// score is the outcome with what a person would want to know about it.
type score struct {
	file    string
	truth   truth
	outcome scored
	asked   []string // ids, with the answers given
	why     string
	lost    int             // optional cells of cases that were not read
	batch   *casebook.Batch // nil: refused
}

// mostTries bounds the search for the choices that make the records right.
const mostTries = 12

// mostAnswers is how many questions an ordinary sheet may ask.
const mostAnswers = 3

func readTruth(t *testing.T, path string) truth {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var out truth
	require.NoError(t, json.Unmarshal(data, &out), path)
	return out
}

// shapeOf reads the word for a shape in a truth: one of those that sheets have.
func shapeOf(word string) casebook.Shape {
	s, err := values.ParseShape(word)
	if err != nil {
		return casebook.NoShape
	}
	return s
}

// scoreOf reads a sheet as a practice would: it answers what is asked from the
// facts, and where they are silent as the records tell.
func scoreOf(ctx context.Context, path string, want truth) score {
	s := score{file: filepath.Base(path), truth: want}
	given := question.Answers{}
	asks := 0 // questions put so far; several words of one column are one
	for {
		b, err := ingest.Read(ctx, path, ingest.Options{Answers: given, Ask: true})
		if err == nil {
			s.judge(b, asks)
			s.batch = b
			return s
		}
		open := questionsOf(err)
		s.why = firstError(err)
		s.outcome = refusedWhole
		n := asks + len(question.Groups(open))
		if len(open) == 0 || n > mostAnswers {
			if len(open) > 0 {
				s.why = fmt.Sprintf("%d questions, %s among them", n, open[0].ID)
			}
			return s
		}
		asks = n
		next := maps.Clone(given)
		var unknown []question.Question
		for _, q := range open {
			word := answerOf(q, want)
			if word == "" {
				unknown = append(unknown, q)
				continue
			}
			next[q.ID] = word
			s.asked = append(s.asked, q.ID+"="+word)
		}
		if len(unknown) > 0 {
			tries := mostTries
			next = statusesByRecords(ctx, path, want, next, unknown)
			left := slices.DeleteFunc(slices.Clone(unknown), func(q question.Question) bool { return next[q.ID] != "" })
			best := byRecords(ctx, path, want, next, left, &tries)
			if best == nil {
				s.why = "no answer for: " + unknown[0].Text
				return s
			}
			for _, q := range unknown {
				s.asked = append(s.asked, q.ID+"="+best[q.ID]+" (by the records)")
			}
			next = best
		}
		given = next
	}
}

// statusesByRecords answers what words of the status mean where nothing else is asked, each
// by itself: the others are set to say nothing, and it is what the cases of that word are.
func statusesByRecords(ctx context.Context, path string, want truth, given question.Answers, open []question.Question) question.Answers {
	status := map[string]string{}
	for _, c := range want.Cases {
		status[c.Case] = strings.Replace(c.Status, "fixed", "another", 1)
	}
	out := maps.Clone(given)
	for _, q := range open {
		if !strings.HasPrefix(q.ID, "status ") {
			return given
		}
		for _, c := range q.Choices {
			try := maps.Clone(given)
			for _, other := range open {
				try[other.ID] = decide.NotRecorded
			}
			try[q.ID] = c.Word
			b, err := ingest.Read(ctx, path, ingest.Options{Answers: try, Ask: true})
			if err != nil {
				return given
			}
			same, other := 0, 0
			for _, read := range b.Cases {
				switch got := read.Value.Status.String(); got {
				case "":
				case status[read.Value.ID]:
					same++
				default:
					other++
				}
			}
			if other == 0 && same > 0 && out[q.ID] == "" {
				out[q.ID] = c.Word
			}
		}
	}
	return out
}

// byRecords looks for the choices under which the sheet says what the practice
// intends, as one who knows its own records chooses; nil where there are none.
func byRecords(ctx context.Context, path string, want truth, given question.Answers, open []question.Question, tries *int) question.Answers {
	if *tries <= 0 {
		return nil
	}
	if len(open) == 0 {
		*tries--
		s := score{truth: want}
		b, err := ingest.Read(ctx, path, ingest.Options{Answers: given, Ask: true})
		if err != nil {
			more := questionsOf(err)
			if len(more) == 0 || len(given)+len(question.Groups(more)) > mostAnswers {
				return nil
			}
			// What is asked next is answered next.
			next := maps.Clone(given)
			more = slices.DeleteFunc(more, func(q question.Question) bool {
				word := answerOf(q, want)
				if word != "" {
					next[q.ID] = word
				}
				return word != ""
			})
			if byRecords(ctx, path, want, next, more, tries) == nil {
				return nil
			}
			return given
		}
		if s.judge(b, len(given)); s.outcome.right() {
			return given
		}
		return nil
	}
	for _, c := range open[0].Choices {
		next := maps.Clone(given)
		next[open[0].ID] = c.Word
		if found := byRecords(ctx, path, want, next, open[1:], tries); found != nil {
			return found
		}
	}
	return nil
}

func firstError(err error) string {
	for _, p := range ingest.Problems(err) {
		if p.Severity == casebook.Error {
			return fmt.Sprintf("%s@%s!%s %s", p.Rule, p.Sheet, cmp.Or(p.Cell, fmt.Sprint(p.Row)), p.Message)
		}
	}
	return err.Error()
}

// movementKey names a movement in a truth and in a batch alike.
type movementKey struct {
	caseID string
	course int
	tooth  int
	axis   string
}

// judge compares what was read with what was meant.
func (s *score) judge(b *casebook.Batch, answers int) {
	want := map[movementKey]trueRecord{}
	for _, r := range s.truth.Records {
		want[movementKey{r.Case, r.Course, r.Tooth, r.Axis}] = r
	}
	s.outcome = rightAtOnce
	if answers > 0 {
		s.outcome = rightAfter
	}
	seen := map[movementKey]bool{}
	for _, m := range b.Movements {
		v := m.Value
		k := movementKey{v.Case.ID, v.Course, int(v.Tooth), v.Axis.String()}
		r, ok := want[k]
		if !ok {
			s.outcome, s.why = silentlyWrong, fmt.Sprintf("read %+v (row %d), which is not meant", k, m.Source.Row)
			return
		}
		if differ := differs(v, r); differ != "" {
			s.outcome, s.why = silentlyWrong, fmt.Sprintf("%+v (row %d): %s", k, m.Source.Row, differ)
			return
		}
		seen[k] = true
	}
	if differ := s.judgeCases(b); differ != "" {
		s.outcome, s.why = silentlyWrong, differ
		return
	}
	if len(seen) == len(want) {
		return
	}
	s.outcome, s.why = silentlyWrong, fmt.Sprintf("%d of %d movements are missing without a word", len(want)-len(seen), len(want))
	if n := len(b.Rejected); n > 0 {
		r := b.Rejected[0]
		s.outcome = refusedPart
		s.why = fmt.Sprintf("%d rows rejected, %d of %d movements missing: row %d: %v", n, len(want)-len(seen), len(want), r.Source.Row, r.Reasons[0].Error())
	}
}

func (s *score) judgeCases(b *casebook.Batch) string {
	read := map[string]casebook.Case{}
	for _, c := range b.Cases {
		read[c.Value.ID] = c.Value
	}
	for _, c := range s.truth.Cases {
		got := read[c.Case]
		for _, f := range []struct{ name, want, got string }{
			{"start", c.Start, monthAs(c.Start, got.Start)},
			{"end", c.End, monthAs(c.End, got.End)},
			{"status", strings.Replace(c.Status, "fixed", "another", 1), got.Status.String()},
			{"wear", c.Wear, got.Wear.String()},
		} {
			switch {
			case f.want == "" || f.got == f.want:
			case f.got == "":
				s.lost++
			default:
				return fmt.Sprintf("case %s: %s is %s, read %s", c.Case, f.name, f.want, f.got)
			}
		}
	}
	return ""
}

// monthAs writes a month as the truth does: 2024-03, or 2024-Q1.
func monthAs(like string, m casebook.Month) string {
	if m == 0 {
		return ""
	}
	s := m.String()
	if strings.Contains(like, "Q") {
		var y, month int
		fmt.Sscanf(s, "%d-%d", &y, &month)
		return fmt.Sprintf("%d-Q%d", y, (month+2)/3)
	}
	return s
}

// near allows for percentages, which the truth does not round.
func near(a, b float64) bool { return math.Abs(a-b) < 0.001 }

func differs(v casebook.Movement, r trueRecord) string {
	style := ""
	if r.Style != nil {
		style = *r.Style
	}
	switch {
	case !near(v.Planned, r.Planned):
		return fmt.Sprintf("planned %v, read %v", r.Planned, v.Planned)
	case !v.Achieved.OK && r.Achieved != nil && v.StatedPercent.OK && near(v.Planned*v.StatedPercent.Value/100, *r.Achieved):
		// Percentages are an analysis of their own and are kept as stated.
	case v.Achieved.OK != (r.Achieved != nil):
		return fmt.Sprintf("achieved measured %t, read %t", r.Achieved != nil, v.Achieved.OK)
	case r.Achieved != nil && !near(v.Achieved.Value, *r.Achieved):
		return fmt.Sprintf("achieved %v, read %v", *r.Achieved, v.Achieved.Value)
	case v.Style.String() != style:
		return fmt.Sprintf("style %q, read %q", style, v.Style)
	case v.SizeOnly == r.DirectionKnown && v.Planned != 0:
		return fmt.Sprintf("direction known %t, read %t", r.DirectionKnown, !v.SizeOnly)
	case v.Shape != casebook.NoShape && r.Shape != "" && v.Shape != shapeOf(r.Shape):
		return fmt.Sprintf("shape %q, read %q", r.Shape, v.Shape)
	case v.SizeMM.OK && r.Size != nil && fmt.Sprint(v.SizeMM.Value) != fmt.Sprint(r.Size):
		return fmt.Sprintf("size %v, read %v", r.Size, v.SizeMM.Value)
	case v.Staging.String() != "" && r.Staging != "" && v.Staging.String() != r.Staging:
		return fmt.Sprintf("staging %q, read %q", r.Staging, v.Staging)
	case v.Lost.OK && r.Lost != nil && v.Lost.Value != *r.Lost:
		return fmt.Sprintf("lost %t, read %t", *r.Lost, v.Lost.Value)
	}
	return ""
}

// Floors under the scores, in sheets; they only rise.
const (
	wrongAllowed = 0
	rightFloor   = 267
	partFloor    = 33 // of every eighth, which are read everyday
)

// TestCorpus scores the reading of sheets as practices keep them, everyday of every eighth,
// with SHORTFALL_LONG of all. With -v it prints a line a sheet.
func TestCorpus(t *testing.T) {
	truths, err := filepath.Glob(filepath.Join("..", "testdata", "corpus", "*.truth.json"))
	require.NoError(t, err)
	require.NotEmpty(t, truths)
	only := os.Getenv("CORPUS_ONLY")
	step, floor := 8, partFloor
	switch {
	case os.Getenv("SHORTFALL_LONG") != "":
		step, floor = 1, rightFloor
	case testing.Short():
		step, floor = 12, 0
	}
	var all []score
	for i, path := range truths {
		if i%step > 0 && only == "" {
			continue
		}
		stem := strings.TrimSuffix(path, ".truth.json")
		if only != "" && !strings.Contains(stem, only) {
			continue
		}
		sheets, err := filepath.Glob(stem + ".*")
		require.NoError(t, err)
		for _, sheet := range sheets {
			if strings.HasSuffix(sheet, ".json") {
				continue
			}
			s := scoreOf(t.Context(), sheet, readTruth(t, path))
			all = append(all, s)
			keptAlone(t, s.batch)
			t.Logf("%-14s %-34s %s %s", scoreNames[s.outcome], s.file, strings.Join(s.asked, "; "), s.why)
		}
	}
	t.Log("\n" + tableOf(all, "kind", func(s score) string { return s.truth.Kind }))
	t.Log("\n" + tableOf(all, "language", func(s score) string { return s.truth.Language }))
	if only != "" {
		return
	}
	wrong, right, readable := 0, 0, 0
	for _, s := range all {
		if s.outcome == silentlyWrong {
			wrong++
		}
		if s.truth.Kind != "unreadable" {
			readable++
			if s.outcome.right() {
				right++
			}
		}
	}
	t.Logf("%d of %d readable sheets right at once or after at most %d answers (%.0f %%), %d silently wrong", right, readable, mostAnswers, 100*float64(right)/float64(readable), wrong)
	assert.LessOrEqual(t, wrong, wrongAllowed, "silently wrong")
	assert.GreaterOrEqual(t, right, floor, "right at once or after answers")
}

// keptAlone holds what an audit of the sheet alone reads to what a database of it gives.
func keptAlone(t *testing.T, b *casebook.Batch) {
	t.Helper()
	if b == nil {
		return
	}
	db, err := sqlite.OpenTemp(t.Context())
	require.NoError(t, err)
	defer db.Close()
	storetest.SameAlone(t, db, b, store.Choices{})
}

// tableOf counts outcomes by a property of the sheets.
func tableOf(all []score, name string, of func(score) string) string {
	counts := map[string]*[outcomes]int{}
	for _, s := range all {
		if counts[of(s)] == nil {
			counts[of(s)] = &[outcomes]int{}
		}
		counts[of(s)][s.outcome]++
	}
	out := fmt.Sprintf("%-24s", name)
	for _, n := range scoreNames {
		out += fmt.Sprintf("%15s", n)
	}
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		out += fmt.Sprintf("\n%-24s", k)
		for _, n := range counts[k] {
			out += fmt.Sprintf("%15d", n)
		}
	}
	return out
}

// questionsOf are what a refused file asks.
func questionsOf(err error) []question.Question {
	if refused, ok := errors.AsType[*ingest.Refused](err); ok {
		return refused.Questions
	}
	return nil
}
