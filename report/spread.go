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

// spread places a figure of several parts over as many pages as it needs:
// make gives the figure of parts from..to-1, frame is the height of what every
// page of it repeats (caption, heads, scale). With even, the parts are shared
// out evenly instead of leaving a last page with one.
func (l *layout) spread(parts []part, frame float64, even bool, make func(from, to int) paper.Figure) {
	for from := 0; from < len(parts); {
		n, ids := fits(parts[from:], frame, l.d.Room)
		left := len(parts) - from
		if even && n < left {
			full, _ := fits(parts[from:], frame, func(ids []int) float64 { return l.d.Height() - l.d.NotesHeight(ids) })
			pages := (left + full - 1) / full
			n = min(n, (left+pages-1)/pages)
			ids = nil
			for _, p := range parts[from : from+n] {
				ids = union(ids, p.notes)
			}
		}
		f := make(from, from+n)
		f.Notes = ids
		l.d.Place(f, from > 0)
		from += n
		if from < len(parts) {
			l.d.NewPage()
		}
	}
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

// whole is the height of all parts on one page with their footnotes.
func (l *layout) whole(parts []part, frame float64) float64 {
	var ids []int
	for _, p := range parts {
		frame += p.h
		ids = union(ids, p.notes)
	}
	return frame + l.d.NotesHeight(ids)
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
