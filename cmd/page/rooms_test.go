package page_test

import (
	"context"
	"fmt"
	"net/url"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/asks"
	"shortfall/cmd/page/life"
	"shortfall/cmd/page/queue"
	"shortfall/cmd/page/targets"
	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// TestTheListBehindAToothIsOfItsNumber: where a tooth shows the number of its kind, or of
// all teeth, the movements behind it are those.
func TestTheListBehindAToothIsOfItsNumber(t *testing.T) {
	tooth, err := casebook.ToothFromFDI(11)
	assert.NoError(t, err)
	first := results.Initial
	for name, c := range map[string]struct {
		arch  results.FrontArch
		tooth results.FrontTooth
		want  results.By
	}{
		"its own":   {results.FrontArch{Axis: casebook.Rotation}, results.FrontTooth{}, results.By{Axis: casebook.Rotation, Tooth: tooth, Course: first}},
		"of a jaw":  {results.FrontArch{Axis: casebook.Rotation}, results.FrontTooth{OfKind: true}, results.By{Axis: casebook.Rotation, ToothClass: casebook.Incisor, Arch: tooth.Arch(), Course: first}},
		"alike":     {results.FrontArch{Axis: casebook.Rotation}, results.FrontTooth{Alike: true}, results.By{Axis: casebook.Rotation, Course: first}},
		"of a kind": {results.FrontArch{Axis: casebook.Rotation, Direction: casebook.MesialIn}, results.FrontTooth{OfKind: true}, results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Incisor, Course: first}},
		"all teeth": {results.FrontArch{Axis: casebook.Rotation, Direction: casebook.MesialIn}, results.FrontTooth{OfKind: true, Alike: true}, results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: first}},
	} {
		c.tooth.Tooth = tooth
		c.arch.Teeth = []results.FrontTooth{c.tooth}
		r := &results.Results{Front: results.Front{Arches: results.FrontArches{Axes: []results.FrontArch{{Axis: casebook.Torque}, c.arch}}}}
		of := c.arch.Axis.String()
		if c.arch.Direction != casebook.NoDirection {
			of = c.arch.Direction.String()
		}
		what, q := address.Behind(r, "arches", "tooth "+of+" "+tooth.String())
		assert.Equal(t, "behind", what, name)
		by, err := address.Cell(q)
		assert.NoError(t, err, name)
		assert.Equal(t, c.want, by, name)
	}
	what, _ := address.Behind(&results.Results{}, "arches", "tooth rotation 11")
	assert.Empty(t, what)
}

// TestOfTwoFaultsTheFirstIsTold: the same address gets the same answer every time.
func TestOfTwoFaultsTheFirstIsTold(t *testing.T) {
	for range 30 {
		_, err := address.Settings(url.Values{"from": {"May"}, "to": {"June"}})
		assert.ErrorContains(t, err, "“from”")
	}
	s, err := address.Settings(url.Values{"to": {"2026-07"}, "tolerance-mm": {"0,4"}, "tolerance-deg": {"3"}})
	assert.NoError(t, err)
	assert.Equal(t, []float64{0.4, 3}, []float64{s.ToleranceMM, s.ToleranceDeg})
	assert.Zero(t, s.Period.From)
	assert.Equal(t, "2026-07", s.Period.To.String())
	_, err = address.Settings(url.Values{"tolerance-deg": {"NaN"}})
	assert.ErrorContains(t, err, "tolerance")
}

// What was answered is said in the words of the choices, without hashes.
func TestAnsweredInPlainWords(t *testing.T) {
	assert.Equal(t, asks.Answered{ID: "column G of headers db45a288", Name: "column G", Text: "not to be read"}, asks.AnsweredOf("column G of headers db45a288", "ignore", nil))
	assert.Equal(t, "amounts that can hardly be right", asks.AnsweredOf("amounts dac69621", "leave out", nil).Name)
	assert.Equal(t, asks.Answered{ID: "signs", Name: "signs", Text: "sizes"}, asks.AnsweredOf("signs", "sizes", nil))
	told := []casebook.Problem{{Answer: casebook.AnswerTold{ID: "places", Asked: "where?", Said: "here"}}, {Answer: casebook.AnswerTold{ID: "signs", Asked: "which way?", Said: "sizes only"}}}
	assert.Equal(t, asks.Answered{ID: "signs", Name: "which way?", Text: "sizes only"}, asks.AnsweredOf("signs", "sizes", told))
	assert.Equal(t, asks.Answered{ID: "notation", Name: "notation", Text: "FDI"}, asks.AnsweredOf("notation", "FDI", told), "told of another question")
}

// Choices that name columns or sheets are put by letter and number.
func TestPointsRepeatNothing(t *testing.T) {
	var ps asks.Hidden
	book := &sheet.Book{Sheets: []*sheet.Sheet{{Name: "Whitfield"}, {Name: "Quill"}}}
	q, ok := ps.Hide(question.Question{ID: "column case", Text: "which one?", Column: "Whitfield", Proposed: "Quill", Examples: []string{"Reed"}, Choices: []question.Choice{{Word: "Whitfield", Text: "column A: Reed"}, {Word: "Quill", Text: "column B"}}}, book)
	require.True(t, ok)
	assert.NotRegexp(t, "Whitfield|Quill|Reed", fmt.Sprintf("%v", q))
	id, word := ps.Means(q.ID, q.Choices[0].Word)
	assert.Equal(t, "column case Whitfield", id+" "+word)
	q, ok = ps.Hide(question.Question{ID: "column case", Choices: []question.Choice{{Word: "Chart #", Text: "column A: 8 codes such as A-000", Masked: true}}}, book)
	require.True(t, ok)
	assert.Equal(t, "column A, headed Chart #: 8 codes such as A-000", q.Choices[0].Text, "a header that only announces codes is no code")
	q, ok = ps.Hide(question.Question{ID: "style of Quill", Sheet: "Quill", Text: "what is it on Quill?", Choices: []question.Choice{{Word: "none"}}}, book)
	require.True(t, ok)
	assert.Equal(t, "point 2", q.ID)
	assert.Contains(t, q.Text, "sheet number 2")
	_, ok = ps.Hide(question.Question{ID: "axis (withheld 1)", Word: "(withheld 1)"}, book)
	assert.False(t, ok)
	_, ok = ps.Hide(question.Question{ID: "twice 0", Choices: []question.Choice{{Word: "row 3 of sheet Quill"}}}, book)
	assert.False(t, ok)
}

// A long list shows what is likely, and folds the rest; what was taken or is proposed is
// never in the fold.
func TestLikelyChoicesStandOpen(t *testing.T) {
	q := question.Question{Near: 2, Choices: []question.Choice{{Word: "a"}, {Word: "b"}, {Word: "c"}}}
	for _, c := range []struct {
		of     asks.Asked
		likely int
	}{
		{asks.Asked{Question: q}, 2},
		{asks.Asked{Question: q, Given: []string{"c"}}, 3},
		{asks.Asked{Question: question.Question{Near: 2, Choices: q.Choices, Proposed: "c"}}, 3},
		{asks.Asked{Question: question.Question{Choices: q.Choices}}, 3},
		{asks.Asked{Question: question.Question{Near: -1, Choices: q.Choices}}, 3},
		{asks.Asked{Question: question.Question{Near: 9, Choices: q.Choices}}, 3},
	} {
		assert.Len(t, c.of.Likely(), c.likely)
		assert.Len(t, c.of.Others(), 3-c.likely)
	}
}

// The program ends a while after its last window closed, or was not heard of any more, and
// never while something is being done.
func TestWindowsThatCloseEndTheProgram(t *testing.T) {
	for name, c := range map[string]struct {
		windows func(l *life.Life)
		after   time.Duration // the last thing windows did
	}{
		"closed": {func(l *life.Life) {
			l.Here("a")
			l.Here("b")
			l.Gone("a")
			time.Sleep(time.Hour / 2) // b is there, if silent
			l.Gone("b")
		}, life.Grace},
		"a reload comes back": {func(l *life.Life) {
			l.Here("a")
			l.Gone("a")
			time.Sleep(life.Grace - 2*time.Second)
			l.Here("a")
			l.Gone("a")
		}, life.Grace},
		"killed without a word": {func(l *life.Life) { l.Here("a") }, 45*time.Minute + life.Grace},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				l := life.New(life.Grace)
				var over, idle atomic.Bool
				go l.Watch(t.Context(), func() bool { return !idle.Load() }, func() { over.Store(true) })
				time.Sleep(2 * time.Hour)
				assert.False(t, over.Load(), "nobody was there yet")
				c.windows(l)
				time.Sleep(c.after - 2*time.Second)
				idle.Store(true)
				time.Sleep(3 * time.Second / 2)
				assert.False(t, over.Load(), "too early")
				time.Sleep(5 * time.Second)
				synctest.Wait()
				assert.True(t, over.Load())
			})
		})
	}
}

func TestWindowsEndNothingThatIsUnderWay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := life.New(life.Grace)
		var over atomic.Bool
		ctx, stop := context.WithCancel(t.Context())
		go l.Watch(ctx, func() bool { return true }, func() { over.Store(true) })
		l.Here("a")
		l.Gone("a")
		time.Sleep(time.Hour)
		assert.False(t, over.Load())
		stop()
	})
}

// How long a task still takes is said once it has taken two seconds: the first time from
// what is counted, later by the last time of its title.
func TestTimeLeft(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		q := queue.New(ctx)
		for _, want := range [][2]string{{"", "about 40 seconds left"}, {"about 10 seconds left", "about 7 seconds left"}} {
			j, err := q.Put("a title", func(_ context.Context, j *queue.Task) error {
				j.At("a step", 0, 100)
				time.Sleep(4 * time.Second)
				j.At("a step", 10, 110)
				time.Sleep(7 * time.Second)
				return nil
			})
			require.NoError(t, err)
			assert.False(t, j.Within(time.Second))
			assert.Equal(t, want[0], j.State().Left)
			time.Sleep(3 * time.Second)
			synctest.Wait()
			assert.Equal(t, want[1], j.State().Left)
			assert.True(t, j.Within(time.Minute))
		}
		stop()
		q.Wait()
	})
}

// A line whose first field was forgotten is asked about and kept as it was typed; one whose
// first field was cleared is taken away; an untouched one is none.
func TestNoLineIsLost(t *testing.T) {
	for _, c := range []struct {
		name, why string
		typed     url.Values
		lines     int
	}{
		{"untouched", "", url.Values{"criterion 0 name": {""}, "criterion 0 measure": {"expression"}, "criterion 0 was": {""}}, 0},
		{"no name", "target 1, name: is empty", url.Values{"criterion 0 name": {""}, "criterion 0 value": {"65 %"}, "criterion 0 was": {""}}, 1},
		{"name cleared", "", url.Values{"criterion 0 name": {""}, "criterion 0 value": {"65 %"}, "criterion 0 was": {"Extrusion"}}, 0},
		{"a number that is none", "target 2, value: a number", url.Values{"criterion 0 name": {"a"}, "criterion 1 name": {"b"}, "criterion 1 value": {"lots"}}, 2},
		{"an owner without an action", "action 1, what: is empty", url.Values{"action 0 what": {""}, "action 0 owner": {"K1"}}, 1},
		{"no direction", "the comparison asked beforehand, direction: is empty", url.Values{"primary direction": {""}, "primary declared": {"2026-01"}}, 1},
		{"direction cleared", "", url.Values{"primary direction": {""}, "primary declared": {"2026-01"}, "primary was": {"extrusion"}}, 0},
	} {
		got, err := targets.Of(c.typed)
		lines := len(got.Criteria) + len(got.ActionsOf)
		if got.Primary != nil {
			lines++
		}
		assert.Equal(t, c.lines, lines, c.name)
		if c.why == "" {
			require.NoError(t, err, c.name)
			continue
		}
		assert.ErrorContains(t, err, c.why, c.name)
	}
}
