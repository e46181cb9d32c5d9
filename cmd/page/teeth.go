package page

import (
	"io"
	"net/url"
	"strings"

	"shortfall/audit/results"
	"shortfall/cmd/keep"
	"shortfall/ingest/casebook"
	"shortfall/ingest/scratch"
)

// teeth is the notation in which the practice has its teeth shown; NoNotation where
// nothing was chosen and no file was kept.
func (p *practice) teeth() casebook.Notation {
	data, err := scratch.Read(p.beside(keep.Teeth), 100)
	if err != nil {
		return casebook.NoNotation
	}
	n, _ := casebook.ParseNotation(strings.TrimSpace(string(data)))
	return n
}

// showTeeth keeps a notation for the audits to come.
func (p *practice) showTeeth(n casebook.Notation) error {
	if n == casebook.NoNotation || n == p.teeth() {
		return nil
	}
	return scratch.Replace(p.beside(keep.Teeth), func(w io.Writer) error {
		_, err := io.WriteString(w, n.String()+"\n")
		return err
	})
}

// settings are those of an address; teeth are shown as was chosen last, or as the first
// file writes them, where the address does not say.
func (p *practice) settings(q url.Values) (results.Settings, error) {
	s, err := settingsOf(q)
	if n := p.teeth(); q.Get("teeth") == "" && n != casebook.NoNotation {
		s.Notation = n
	}
	return s, err
}
