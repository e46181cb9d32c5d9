package report

import (
	"slices"

	"shortfall/report/paper"
)

// part of a figure that may be broken between parts: its height in mm and the
// footnotes it carries.
type part struct {
	h     float64
	notes []int
}

// spread is a figure of several parts, placed over as many pages as it needs:
// make gives the figure of parts from..to-1, frame is the height of what every
// page of it repeats (caption, heads, scale). With even, the parts are shared
// out evenly instead of leaving a last page with one.
type spread struct {
	l     *layout
	parts []part
	frame float64
	even  bool
	make  func(from, to int) paper.Figure
	head  func() // set at the top of a further page; nil: nothing
}

// turn goes to the next page.
func (s spread) turn() {
	s.l.d.NewPage()
	if s.head != nil {
		s.head()
	}
}

func (s spread) place() {
	d := s.l.d
	for from := 0; from < len(s.parts); {
		left := len(s.parts) - from
		if s.frame+s.parts[from].h > d.Room(s.parts[from].notes) {
			s.turn() // before counting: the new page holds more than one
		}
		n, ids := fits(s.parts[from:], s.frame, d.Room)
		if few := min(leastParts, left); n < few && n < s.onAPage(from) {
			s.turn() // the next one holds more of it
			n, ids = fits(s.parts[from:], s.frame, d.Room)
		}
		if s.even && n < left {
			full := s.onAPage(from)
			pages := (left + full - 1) / full
			n = min(n, (left+pages-1)/pages)
			ids = spread{parts: s.parts[from : from+n]}.notes()
		}
		f := s.make(from, from+n)
		f.Notes = ids
		d.Place(f, from > 0)
		if from += n; from < len(s.parts) {
			s.turn()
		}
	}
}

// leastParts is how many parts of a figure are worth beginning it on a page that
// does not hold it all.
const leastParts = 3

// onAPage is how many of the parts from one on an empty page holds.
func (s spread) onAPage(from int) int {
	d := s.l.d
	n, _ := fits(s.parts[from:], s.frame, func(ids []int) float64 { return d.Height() - d.NotesHeight(ids) })
	return n
}

// notes are the footnotes of all parts.
func (s spread) notes() (ids []int) {
	for _, p := range s.parts {
		ids = union(ids, p.notes)
	}
	return ids
}

// height of all parts on one page in mm, without footnotes.
func (s spread) height() float64 {
	h := s.frame
	for _, p := range s.parts {
		h += p.h
	}
	return h
}

// fits counts the parts that fit into the room left, at least one.
func fits(parts []part, frame float64, room func([]int) float64) (int, []int) {
	n, ids, h := 0, []int(nil), frame
	for _, p := range parts {
		merged := union(ids, p.notes)
		if n > 0 && h+p.h > room(merged) {
			break
		}
		n, ids, h = n+1, merged, h+p.h
	}
	return n, ids
}

func union(a, b []int) []int {
	out := slices.Clone(a)
	for _, n := range b {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}
