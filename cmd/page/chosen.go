package page

import (
	"io"
	"net/http"
	"net/url"
	"strings"

	"shortfall/audit/results"
	"shortfall/cmd/keep"
	"shortfall/cmd/page/address"
	"shortfall/ingest/casebook"
	"shortfall/ingest/scratch"
	"shortfall/report/paper"
)

// teeth is the notation in which the practice has its teeth shown; NoNotation where
// nothing was chosen and no file was kept.
func (p *practice) teeth() casebook.Notation {
	n, _ := casebook.ParseNotation(p.chosen(keep.Teeth))
	return n
}

// chosen is the word that was chosen last of what is kept under an ending, "" for none.
func (p *practice) chosen(ending string) string {
	data, _ := scratch.Read(p.beside(ending), 100) // one that cannot be read is as good as none
	return strings.TrimSpace(string(data))
}

// choose keeps a word for the next time.
func (p *practice) choose(ending, word string) error {
	return scratch.Replace(p.beside(ending), func(w io.Writer) error {
		_, err := io.WriteString(w, word+"\n")
		return err
	})
}

// papers are the sizes of pages, the usual one first.
var papers = []struct {
	word string
	size paper.Size
}{{"a4", paper.A4}, {"letter", paper.Letter}}

// paper is the size that the practice prints on.
func (p *practice) paper() paper.Size {
	word := p.chosen(keep.Paper)
	for _, x := range papers {
		if x.word == word {
			return x.size
		}
	}
	return papers[0].size
}

// paperForm keeps the size of the pages for the PDFs to come.
func (s *server) paperForm(w http.ResponseWriter, r *http.Request, p *practice) error {
	for _, x := range papers {
		if x.word == r.FormValue("paper") {
			if err := p.choose(keep.Paper, x.word); err != nil {
				return err
			}
			return s.back(w, r)
		}
	}
	return wrong("this form could not be read")
}

// showTeeth keeps a notation for the audits to come.
func (p *practice) showTeeth(n casebook.Notation) error {
	if n == casebook.NoNotation || n == p.teeth() {
		return nil
	}
	return p.choose(keep.Teeth, n.String())
}

// settings are those of an address; teeth are shown as was chosen last, or as the first
// file writes them, where the address does not say.
func (p *practice) settings(q url.Values) (results.Settings, error) {
	s, err := address.Settings(q)
	if n := p.teeth(); q.Get("teeth") == "" && n != casebook.NoNotation {
		s.Notation = n
	}
	if err != nil {
		return s, wrong(err.Error())
	}
	return s, nil
}
