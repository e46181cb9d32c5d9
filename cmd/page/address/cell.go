package address

import (
	"errors"
	"math"
	"net/url"
	"strconv"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

var errNoCell = errors.New("no such cell")

// Cell reads the cell of the grid that an address names.
func Cell(q url.Values) (by results.By, err error) {
	read := func(name string, into interface{ UnmarshalText([]byte) error }) {
		if v := q.Get(name); v != "" && err == nil {
			err = into.UnmarshalText([]byte(v))
		}
	}
	read("axis", &by.Axis)
	read("direction", &by.Direction)
	read("tooth_class", &by.ToothClass)
	read("arch", &by.Arch)
	read("style", &by.Style)
	if v := q.Get("tooth"); v != "" && err == nil {
		n, nerr := strconv.Atoi(v)
		if by.Tooth, err = casebook.ToothFromFDI(n); nerr != nil {
			err = nerr
		}
	}
	switch c := results.CourseStratum(q.Get("course")); c {
	case "", results.Initial, results.Refinement:
		by.Course = c
	default:
		err = errNoCell
	}
	if err != nil {
		return by, errNoCell
	}
	if by.Direction != casebook.NoDirection {
		by.Axis = by.Direction.Axis()
	}
	return by, nil
}

// cellQuery is the address of a cell.
func cellQuery(by results.By) url.Values {
	q := url.Values{}
	set := func(name, v string, there bool) {
		if there {
			q.Set(name, v)
		}
	}
	set("axis", by.Axis.String(), by.Axis != casebook.NoAxis && by.Direction == casebook.NoDirection)
	set("direction", by.Direction.String(), by.Direction != casebook.NoDirection)
	set("tooth", by.Tooth.String(), by.Tooth != 0)
	set("tooth_class", by.ToothClass.String(), by.ToothClass != casebook.NoClass)
	set("arch", by.Arch.String(), by.Arch != casebook.NoArch)
	set("style", by.Style.String(), by.Style != casebook.NoStyle)
	set("course", string(by.Course), by.Course != "")
	return q
}

// Size reads a size of plans from an address, NaN for none.
func Size(q url.Values, name string) float64 {
	v, err := strconv.ParseFloat(q.Get(name), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// FlowStep reads a step of the flow from an address, by its place.
func FlowStep(q url.Values) (step int, leave bool) {
	leave = q.Has("left")
	n, err := strconv.Atoi(q.Get("flow") + q.Get("left"))
	if err != nil {
		return -1, leave
	}
	return n - 1, leave
}
