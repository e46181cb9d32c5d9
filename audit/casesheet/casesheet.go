// Package casesheet lays out one case for discussion: what was planned and what came of
// it, course by course, beside what the practice's other cases express.
//
// Place in the pipeline: beside the questions; it reads a rows.Set and fills a
// results.CaseSheet, which report makes a page of.
package casesheet

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/ingest/casebook"
)

// Against tells whether an attachment lies against the practice's table.
type Against func(*rows.Row, []results.FitRule) bool

// Of makes the sheets of cases in the order asked for. An unknown case is an error.
func Of(p *rows.Set, keys []casebook.CaseKey, against Against) ([]results.CaseSheet, error) {
	var out []results.CaseSheet
	for _, k := range keys {
		at := slices.IndexFunc(p.Cases, func(c rows.Patient) bool { return c.Key == k })
		if at < 0 {
			return nil, fmt.Errorf("no case %q in this database: give the pseudonym as it was recorded", k)
		}
		out = append(out, caseSheet(p, at, against))
	}
	return out, nil
}

// Cautions that every sheet carries.
func Cautions() []string {
	return []string{
		"One case proves nothing: the bands describe this practice's other cases and predict no patient.",
		"Association, not cause: it supports, and never replaces, the judgement of a licensed clinician and local governance and data-protection rules.",
	}
}

// sheetMaker builds one sheet.
type sheetMaker struct {
	p       *rows.Set
	at      int // index of the case
	sheet   *results.CaseSheet
	planned map[casebook.MovementKey]*casebook.Movement
	bands   map[results.By]*bandSource
	against Against
}

func caseSheet(p *rows.Set, at int, against Against) results.CaseSheet {
	c := &p.Cases[at]
	s := results.CaseSheet{ID: c.Key.ID, Practice: c.Key.Practice}
	if c.Log != nil {
		s.Status, s.Wear, s.Start = c.Log.Status, c.Log.Wear, c.Log.Start
		if c.Log.Start != 0 && c.Log.End != 0 {
			s.Months = max(0, int(c.Log.End-c.Log.Start))
		}
		if n := c.Log.StatedRefinements; n.OK {
			s.Stated = &n.Value
		}
		if !p.Settings.Shared {
			s.Clinician, s.AgeBand, s.End = c.Log.Clinician, c.Log.AgeBand, c.Log.End
		}
	}
	m := sheetMaker{p, at, &s, map[casebook.MovementKey]*casebook.Movement{}, map[results.By]*bandSource{}, against}
	var own []*casebook.Movement
	for _, mv := range rows.InOrder(p.Dataset.Movements) {
		if mv.Case == c.Key {
			own = append(own, mv)
			m.planned[mv.Key()] = mv
		}
	}
	for _, mv := range own {
		m.add(mv)
	}
	m.timeline(c, own)
	if p.Settings.Shared { // who, how old and when could point at a person
		s.Start = 0
		for i := range s.Courses {
			s.Courses[i].Start = 0
		}
	}
	s.Lost = CountLost(own)
	s.Questions = Questions(&s)
	return s
}

// add turns a movement into a line of the sheet; plans below the smallest are
// counted only.
func (m *sheetMaker) add(mv *casebook.Movement) {
	switch rows.FateOf(mv, &m.p.Settings) {
	case rows.Broken, rows.NothingPlanned:
		return
	case rows.BelowSmallest:
		m.sheet.Small++
		return
	}
	r := rows.NewRow(mv, m.at)
	out := results.SheetMovement{
		Course: mv.Course, Tooth: r.Tooth, Axis: r.Axis, Direction: r.Direction, SizeOnly: mv.SizeOnly, Unit: r.Unit(),
		Planned: results.Number(r.Planned), Achieved: results.NotEstimable, Shortfall: results.NotEstimable, Expression: results.NotEstimable,
		Style: mv.Style, Shape: mv.Shape, Orientation: mv.Orientation, Staging: mv.Staging, Lost: mv.Lost.OK && mv.Lost.Value,
		AgainstTable: m.against(&r, m.p.Settings.Questions.FitTable),
	}
	m.sheet.Planned++
	if mv.Achieved.OK {
		out.Achieved, out.Shortfall, out.Expression = results.Number(r.Achieved), results.Number(r.Shortfall()), results.Number(r.Expression())
		out.Outside = r.Outside(&m.p.Settings)
		out.Band = m.band(&r)
		m.sheet.Measured++
		m.sheet.Outside += measure.OneIf(out.Outside)
	}
	out.Again = m.again(mv)
	if before := m.neighbour(mv, -1); before != nil && before.Style != mv.Style && before.Style != 0 && mv.Style != 0 {
		out.StyleBefore = before.Style
		m.sheet.Changes++
	}
	m.sheet.Again += measure.OneIf(out.Again)
	m.sheet.Movements = append(m.sheet.Movements, out)
}

// neighbour is the same movement some courses later.
func (m *sheetMaker) neighbour(mv *casebook.Movement, step int) *casebook.Movement {
	key := mv.Key()
	key.Course += step
	return m.planned[key]
}

func (m *sheetMaker) again(mv *casebook.Movement) bool {
	next := m.neighbour(mv, 1)
	return next != nil && next.Direction() == mv.Direction() && math.Abs(next.Planned) >= m.p.Settings.Smallest(mv.Axis.Unit())
}

// bandSource holds the expression of the other cases in one cell, sorted.
type bandSource struct {
	values []float64
	cases  int
}

// band widens from direction and tooth class to axis until there are enough
// other cases; courses stay apart. Without enough there is no band.
func (m *sheetMaker) band(r *rows.Row) results.Band {
	for _, of := range []results.By{
		{Axis: r.Axis, Direction: r.Direction, ToothClass: r.Class, Course: r.Stratum()},
		{Axis: r.Axis, Direction: r.Direction, Course: r.Stratum()},
		{Axis: r.Axis, Course: r.Stratum()},
	} {
		b := m.bands[of]
		if b == nil {
			b = m.others(of)
			m.bands[of] = b
		}
		if b.cases < m.p.Settings.MinIntervalCases {
			continue
		}
		q := stats.Quantiles(b.values, 0.1, 0.25, 0.5, 0.75, 0.9)
		return results.Band{
			Of: of, Cases: b.cases, Movements: len(b.values),
			P10: results.Number(q[0]), P25: results.Number(q[1]), P50: results.Number(q[2]), P75: results.Number(q[3]), P90: results.Number(q[4]),
			Rank: midRank(b.values, r.Expression()),
		}
	}
	return results.Band{Rank: results.NotEstimable}
}

func (m *sheetMaker) others(of results.By) *bandSource {
	b, last := &bandSource{}, -1
	for i := range m.p.Analysed {
		r := &m.p.Analysed[i]
		if r.Cluster == m.at || !rows.Holds(of, r) {
			continue
		}
		b.values = append(b.values, r.Expression())
		if r.Cluster != last {
			b.cases, last = b.cases+1, r.Cluster
		}
	}
	slices.Sort(b.values)
	return b
}

// midRank is the share of sorted values below x, ties counted half.
func midRank(sorted []float64, x float64) results.Number {
	low, _ := slices.BinarySearch(sorted, x)
	high := low
	for high < len(sorted) && sorted[high] == x {
		high++
	}
	return measure.OrMissing((float64(low) + float64(high-low)/2) / float64(len(sorted)))
}
