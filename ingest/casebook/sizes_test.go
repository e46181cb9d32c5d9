package casebook

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// vocabularies are all tables of words with the size that the constants give.
var vocabularies = map[string]struct {
	table names
	size  int
}{
	"unit": {unitNames, UnitCount}, "axis": {axisNames, AxisCount}, "direction": {directionNames, DirectionCount},
	"style": {styleNames, StyleCount}, "shape": {shapeNames, ShapeCount}, "orientation": {orientationNames, OrientationCount},
	"staging": {stagingNames, StagingCount}, "status": {statusNames, StatusCount}, "wear": {wearNames, WearCount},
	"timing": {timingNames, TimingCount}, "method": {methodNames, MethodCount},
	"age band": {ageNames, AgeBandCount}, "notation": {notationNames, NotationCount}, "arch": {archNames, ArchCount},
	"tooth class": {classNames, ToothClassCount}, "kind": {kindNames, KindCount}, "severity": {severityNames, SeverityCount},
}

// Every constant has its word, every word its constant, and no two are alike.
func TestTablesMatchTheirConstants(t *testing.T) {
	for name, v := range vocabularies {
		assert.Len(t, v.table, v.size+1, name)
		seen := map[string]bool{}
		for i, w := range v.table {
			assert.Equal(t, i == 0, w == "", "%s %d", name, i)
			assert.False(t, seen[strings.ToLower(w)], "%s: %s", name, w)
			seen[strings.ToLower(w)] = true
			_, err := v.table.index(name, NotRecorded)
			assert.Error(t, err, "the marker of a missing word is no %s", name)
		}
	}
}

func TestEveryAxisHasTwoDirectionsAndAUnit(t *testing.T) {
	assert.Equal(t, 2*AxisCount, DirectionCount)
	for _, a := range Axes() {
		assert.NotEqual(t, NoUnit, a.Unit(), "%v", a)
	}
	assert.Len(t, AllTeeth(), ToothCount)
	for _, tooth := range AllTeeth() {
		assert.NotEqual(t, NoClass, tooth.Class())
		assert.NotEqual(t, NoArch, tooth.Arch())
	}
	assert.Equal(t, 4, ToothClassCount)
	assert.Equal(t, 2, ArchCount)
}
