// Package loops has one loop for each thing that the tool looks for, and beside it one
// that does as much in any order.
package loops

import (
	"fmt"
	"maps"
	"slices"
	"sort"
)

func appends(m map[string]int) (out []string) {
	for k := range m { // want `the order of a map reaches what this loop does \(appends\)`
		out = append(out, k)
	}
	return out
}

func appendsAndSorts(m map[string]int) (out []string) {
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func appendsAndOrders(m map[string]int) (out []string) {
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func sortsAnother(m map[string]int) (out []string) {
	var other []string
	for k := range m { // want `appends`
		out = append(out, k)
	}
	sort.Strings(other)
	return out
}

func appendsKeys(m map[string]int) (out []string) {
	for k := range maps.Keys(m) { // want `appends`
		out = append(out, k)
	}
	return out
}

func collectsKeys(m map[string]int) []string {
	return slices.Collect(maps.Keys(m)) // want `the order of a map becomes that of a list`
}

func collectsAndSorts(m map[string]int) []string {
	out := slices.Collect(maps.Keys(m))
	slices.Sort(out)
	return out
}

func collectsAndSays(m map[string]int) map[string]bool {
	out := map[string]bool{}
	// any order: each is put in its own place
	for _, k := range slices.Collect(maps.Keys(m)) {
		out[k] = true
	}
	return out
}

func appendsByKey(m map[string]int, out map[string][]int) {
	for k, v := range m {
		out[k] = append(out[k], v)
	}
}

func addsFloats(m map[string]float64) (sum float64) {
	for _, v := range m { // want `adds up`
		sum += v
	}
	return sum
}

func addsTexts(m map[string]string) (all string) {
	for _, v := range m { // want `adds up`
		all += v
	}
	return all
}

func addsInts(m map[string]int) (sum int) {
	for _, v := range m {
		sum += v
	}
	return sum
}

func returnsOne(m map[string]int) string {
	for k := range m { // want `returns an element`
		return k
	}
	return ""
}

func returnsWhether(m map[string]int) bool {
	for _, v := range m {
		if v > 3 {
			return true
		}
	}
	return false
}

func asksOfEach(m map[string]int, list []int) (all int) {
	for _, v := range m {
		if slices.ContainsFunc(list, func(x int) bool { return x == v }) {
			all++
		}
	}
	return all
}

func returnsAfterAsking(m map[string]int, list []int) string {
	for k, v := range m { // want `returns an element`
		if slices.ContainsFunc(list, func(x int) bool { return x == v }) {
			return k
		}
	}
	return ""
}

func keepsLast(m map[string]int) (last string) {
	for k := range m { // want `keeps an element`
		last = k
	}
	return last
}

func keepsLargest(m map[string]int) (most int) {
	for _, v := range m {
		most = max(most, v)
	}
	return most
}

func sends(m map[string]int, to chan<- string) {
	for k := range m { // want `sends`
		to <- k
	}
}

func prints(m map[string]int) {
	for k := range m { // want `calls with an element`
		fmt.Println(k)
	}
}

func deletes(m, from map[string]int) {
	for k := range m {
		delete(from, k)
	}
}

func excused(m map[string]float64) (sum float64) {
	// any order: the values are whole numbers
	for _, v := range m {
		sum += v
	}
	return sum
}

func overList(list []string) (out []string) {
	for _, s := range list {
		out = append(out, s)
	}
	return out
}
