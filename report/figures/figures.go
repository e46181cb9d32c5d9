// Package figures writes every figure of a document as an SVG file of its own,
// for a talk: under its title, with what it is of, its notes and the caution.
//
// Place in the pipeline: report/section makes the document, report/chart draws;
// this package sets the same display list without a page around it, and writes
// no sentence of its own.
package figures

import (
	"bufio"
	"fmt"
	"io"
	"regexp"
	"strings"

	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/typeface"
)

// Ending of the file names; before it stands the id of the figure.
const Ending = ".svg"

// File is one figure, to be written under its name.
type File struct {
	Name    string
	figure  *chart.Figure
	marks   func([]int) string
	creator string
}

// width in mm the drawings have: that of the text on an A4 page.
const width = 174

// Of lists the figures of a document in order of reading, named after their ids.
func Of(d *document.Document, cautions []string) (out []File) {
	d.Walk(func(b document.Block, _ int) {
		if f, ok := b.(document.Figure); ok && f.ID != "" {
			out = append(out, file(d, f, cautions))
		}
	})
	return out
}

func file(d *document.Document, f document.Figure, cautions []string) File {
	n := &notes{all: f.Notes}
	var figs []*chart.Figure
	sub := n.plain(f.Sub)
	for _, dr := range f.Drawings {
		fig := dr.Draw(width)
		for _, t := range fig.Texts() {
			n.marks(t.Notes)
		}
		figs = append(figs, fig)
	}
	c := chart.Caption{Title: f.Title, Sub: some(sub), Below: some(n.plain(f.Below)), Foot: d.Foot + " · " + strings.Join(cautions, " ")}
	for i, text := range n.used {
		c.Notes = append(c.Notes, typeface.Superior(i)+"\u00a0"+text)
	}
	fig := chart.Captioned(c, width, figs...)
	fig.Desc = f.Desc
	return File{Name: f.ID + Ending, figure: fig, marks: n.marks, creator: d.Creator}
}

// Write writes the file; its first line after the root says what made it.
func (f File) Write(w io.Writer) error { return f.figure.SVG(w, f.creator, f.marks) }

// some is a paragraph, where there is one.
func some(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// notes letters those of one figure in order of reading.
type notes struct {
	all  []document.Note
	used []string
}

func (n *notes) letter(text string) string {
	for i, s := range n.used {
		if s == text {
			return typeface.Superior(i)
		}
	}
	n.used = append(n.used, text)
	return typeface.Superior(len(n.used) - 1)
}

// marks are the letters of notes by their places in the figure's list.
func (n *notes) marks(at []int) (s string) {
	for _, i := range at {
		if i >= 0 && i < len(n.all) {
			s += n.letter(n.all[i].Text)
		}
	}
	return s
}

// nothing is what a bracket holds whose references led elsewhere in the document.
var nothing = regexp.MustCompile(`\s*\([;\s]*\)`)

// plain is running text without its references: here they lead nowhere.
func (n *notes) plain(t document.Text) string {
	s := ""
	for _, span := range t {
		if !span.Way() {
			s += span.Text
		}
		for _, x := range span.Notes {
			s += n.letter(x.Text)
		}
	}
	return strings.TrimSpace(nothing.ReplaceAllString(s, ""))
}

// Made recognises a file that Write wrote, by the name of its creator.
func Made(r io.Reader, creator string) bool {
	head, err := bufio.NewReader(io.LimitReader(r, 1<<12)).ReadString('\n')
	return err == nil && strings.HasPrefix(head, "<svg ") && strings.Contains(head, fmt.Sprintf(` data-made-by="%s`, creator))
}
