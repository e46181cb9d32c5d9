package layout_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
)

const whole = `version = 1
[file]
notation = "palmer"
decimal = ","
dates = "day first"
amounts = "sizes"
achieved = "residual"
[missing]
codes = ["999", "-"]
[positive]
vertical = "intrusion"
[words.style]
"mine" = "clinician-designed"
[[sheet]]
name = "Data"
kind = "movement"
header = 3
header_rows = 2
[sheet.columns]
"Zahn" = "tooth"
"(D)" = "ignore"
[sheet.constants]
course = "initial"
[[sheet.movement]]
axis = "rotation"
planned = "rot P"
achieved = "rot A"
[[waiver]]
rule = "amount-unlikely"
reason = "checked"
`

func TestWholeMapping(t *testing.T) {
	f, err := mapping.Parse("m.toml", []byte(whole))
	require.NoError(t, err)
	assert.Equal(t, "palmer", f.File.Notation)
	s := f.Sheet("Data")
	require.NotNil(t, s)
	assert.Nil(t, f.Sheet("Other"))
	assert.Equal(t, casebook.MovementKind, s.KindOf())
	fld, ignore, ok := s.Field("Zahn", "A")
	assert.Equal(t, "tooth", fld.String())
	assert.True(t, ok)
	assert.False(t, ignore)
	_, ignore, ok = s.Field("whatever", "D")
	assert.True(t, ok && ignore)
	d, declared, err := f.PositiveOf(casebook.Vertical)
	require.NoError(t, err)
	assert.True(t, declared)
	assert.Equal(t, casebook.Intrusion, d)
}

// Each fault is named with its line or place and the nearest word that is known.
func TestFaultsAreNamed(t *testing.T) {
	for text, want := range map[string]string{
		"":                                       "version",
		"version = 2":                            "version = 1",
		"version = 1\n[file]\nnotaton = \"fdi\"": `line 3: unknown key "file.notaton"; did you mean "notation"?`,
		"version = 1\nfoo = 1":                   "expected one of version, file, missing",
		"version = 1\n[file]\nnotation = \"fid\"":                                     `did you mean "fdi"?`,
		"version = 1\n[file]\ndecimal = \";\"":                                        "expected one of ., ,",
		"version = 1\n[[sheet]]\nname = \"a\"\n[sheet.columns]\nx = \"toth\"":         `did you mean "tooth"?`,
		"version = 1\n[[sheet]]\nname = \"a\"\n[sheet.constants]\ncours = \"1\"":      `did you mean "course"?`,
		"version = 1\n[[sheet]]\nname = \"a\"\nkind = \"movment\"":                    `did you mean "movement"?`,
		"version = 1\n[[sheet]]\nkind = \"movement\"":                                 "has no name",
		"version = 1\n[[sheet]]\nname = \"a\"\n[[sheet]]\nname = \"a\"":               "stands twice",
		"version = 1\n[words.style]\nx = \"clinician designd\"":                       `did you mean "clinician-designed"?`,
		"version = 1\n[words.style]\nMK = \"none\"\n\"mk \" = \"clinician-designed\"": "is a word already",
		"version = 1\n[words.stile]\nx = \"none\"":                                    `did you mean "style"?`,
		"version = 1\n[positive]\nvertical = \"shift buccal\"":                        "positive",
		"version = 1\n[[waiver]]\nrule = \"amount-unlikly\"\nreason = \"x\"":          `did you mean "amount-unlikely"?`,
		"version = 1\n[[waiver]]\nrule = \"amount-unlikely\"":                         "has no reason",
		"version = 1\n[file\n": "line 2",
		"version = \"1\"":      "line 1",
	} {
		_, err := mapping.Parse("m.toml", []byte(text))
		if assert.Error(t, err, text) {
			assert.ErrorContains(t, err, want, text)
			assert.ErrorContains(t, err, "m.toml: ")
		}
	}
}

func TestAllFaultsAtOnce(t *testing.T) {
	_, err := mapping.Parse("m.toml", []byte("version = 1\na = 1\nb = 2\n[file]\nc = 3"))
	bad, ok := err.(*mapping.Invalid)
	require.True(t, ok)
	assert.Len(t, bad.Faults, 3)
}

// Faults of like kind come in one order, at every reading.
func TestFaultsComeInOneOrder(t *testing.T) {
	const two = "version = 1\n[positive]\nrotation = \"x\"\nvertical = \"y\"\n[words.stile]\na = \"b\"\n[words.stage]\na = \"b\"\n[words.style]\na = \"?\"\nb = \"?\"\n" +
		"[[sheet]]\nname = \"a\"\n[sheet.columns]\nx = \"toth\"\ny = \"cours\"\n[sheet.constants]\nkase = \"1\"\ncours = \"2\"\n"
	_, first := mapping.Parse("m.toml", []byte(two))
	bad, ok := first.(*mapping.Invalid)
	require.True(t, ok)
	require.Len(t, bad.Faults, 10)
	for range 20 {
		_, err := mapping.Parse("m.toml", []byte(two))
		require.Equal(t, first, err)
	}
}

func TestLoad(t *testing.T) {
	path := filepath.Join(t.TempDir(), "m.toml")
	_, err := mapping.Load(path)
	assert.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte(whole), 0o600))
	_, err = mapping.Load(path)
	assert.NoError(t, err)
}

// A proposal is valid whatever the file is called and whatever its headers hold.
func TestProposalIsAlwaysValid(t *testing.T) {
	p := mapping.Proposal{
		FileName: "a\n\"b\\.xlsx", Notation: "fdi", Decimal: ",",
		Sheets: []mapping.SheetProposal{
			{Name: "x\"]\n[file]", Kind: "movement", Header: 1, HeaderRows: 2, Case: "sheet name", Missing: []string{"axis\nfoo = 1"}, Columns: []mapping.ColumnProposal{
				{Header: "a\tb\u007f\x00", Letter: "A", Field: "tooth", Hint: "line\nbreak"}, {Header: "ü\"", Letter: "B", Field: "ignore"},
			}, Movements: []mapping.Pair{{Planned: "p\\", Achieved: "a", Axis: "rotation"}}},
			{Name: "notes", Skip: true},
		},
	}
	f, err := mapping.Parse("m.toml", p.Text())
	require.NoError(t, err, string(p.Text()))
	require.Len(t, f.Sheets, 2)
	assert.Equal(t, "x\"]\n[file]", f.Sheets[0].Name)
	assert.Equal(t, "tooth", f.Sheets[0].Columns["a\tb\u007f\x00"])
}

// FuzzMapping: any text is a mapping or a list of faults, never a panic.
func FuzzMapping(f *testing.F) {
	f.Add([]byte(whole))
	f.Add([]byte("version = 1\n[file]\nnotaton = \"fdi\""))
	f.Add([]byte("version = 1\n[[sheet]]\nname = \"*\"\nskip = true"))
	f.Add([]byte("[[sheet.movement]]\n"))
	f.Add([]byte("\x00[a"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := mapping.Parse("m.toml", data)
		if err != nil {
			bad, ok := err.(*mapping.Invalid)
			assert.True(t, ok)
			assert.NotEmpty(t, bad.Faults)
			return
		}
		assert.Equal(t, mapping.Version, m.Version)
		m.Sheet("x").KindOf()
		for _, a := range casebook.Axes() {
			_, _, err := m.PositiveOf(a)
			assert.NoError(t, err)
		}
	})
}

// The open points are comments until one is taken; taken, the file parses.
func TestAnswersOfAProposal(t *testing.T) {
	open := []question.Question{
		{ID: "signs", Text: "sizes\nor signed?", Choices: []question.Choice{{Word: "sizes", Text: "how far"}, {Word: "signed", Text: "as written"}}, Proposed: "sizes"},
		{ID: `style "MK"`, Text: "what?", Choices: []question.Choice{{Word: "none"}, {Word: "software"}}, Several: true},
	}
	f, err := mapping.Parse("m.toml", []byte("version = 1\n"+mapping.AnswersText(open, nil)))
	require.NoError(t, err)
	assert.Empty(t, f.Answers)
	f, err = mapping.Parse("m.toml", []byte("version = 1\n"+mapping.AnswersText(open, question.Answers{"signs": "signed", `style "MK"`: "none,software"})))
	require.NoError(t, err)
	assert.Equal(t, map[string]string{"signs": "signed", `style "MK"`: "none,software"}, f.Answers)
	assert.Empty(t, mapping.AnswersText(nil, nil))
}

// One column is not both of a pair.
func TestMappingOfOneColumnTwice(t *testing.T) {
	for _, same := range []string{"achieved = \"rot P\"", "percent = \"rot P\"", "achieved = \"rot A\"\npercent = \"rot A\""} {
		_, err := mapping.Parse("m.toml", []byte("version = 1\n[[sheet]]\nname = \"Data\"\n[[sheet.movement]]\nplanned = \"rot P\"\n"+same+"\n"))
		assert.ErrorContains(t, err, "stands in it twice", same)
	}
	_, err := mapping.Parse("m.toml", []byte(whole))
	assert.NoError(t, err)
}
