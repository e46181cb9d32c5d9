package casebook

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pairs of FDI (ISO 3950) and Universal numbers are the standard
// conversion: 1 is 18, 8 is 11, 9 is 21, 16 is 28, 17 is 38, 24 is 31, 25 is
// 41, 32 is 48, and 46 is 30.
func TestFDIAgainstUniversal(t *testing.T) {
	for universal, fdi := range map[int]Tooth{1: 18, 8: 11, 9: 21, 16: 28, 17: 38, 24: 31, 25: 41, 32: 48, 30: 46} {
		got, err := ToothFromUniversal(universal)
		require.NoError(t, err)
		assert.Equal(t, fdi, got, "Universal %d", universal)
		assert.Equal(t, universal, fdi.Universal(), "FDI %v", fdi)
	}
}

func TestEveryToothSurvivesEveryNotation(t *testing.T) {
	seen := map[Tooth]bool{}
	for _, tooth := range AllTeeth() {
		require.True(t, tooth.Valid())
		seen[tooth] = true
		u, err := ToothFromUniversal(tooth.Universal())
		require.NoError(t, err)
		assert.Equal(t, tooth, u)
		palmer := tooth.Palmer()
		p, err := ToothFromPalmer(palmer[:2], int(palmer[2]-'0'))
		require.NoError(t, err)
		assert.Equal(t, tooth, p)
	}
	assert.Len(t, seen, 32)
}

func TestRefusedTeeth(t *testing.T) {
	for _, n := range []int{0, 9, 10, 19, 20, 29, 40, 49, 50, 91, 111, -11} {
		_, err := ToothFromFDI(n)
		assert.Error(t, err, "FDI %d", n)
	}
	_, err := ToothFromFDI(55)
	assert.ErrorContains(t, err, "deciduous")
	for _, n := range []int{0, 33, -1} {
		_, err := ToothFromUniversal(n)
		assert.Error(t, err, "Universal %d", n)
	}
	_, err = ToothFromPalmer("UX", 3)
	assert.Error(t, err)
	assert.False(t, Tooth(0).Valid())
	assert.Empty(t, Tooth(0).Palmer())
}

func TestClassAndArch(t *testing.T) {
	for fdi, want := range map[Tooth]struct {
		class ToothClass
		arch  Arch
	}{
		11: {Incisor, Upper}, 22: {Incisor, Upper}, 33: {Canine, Lower},
		44: {Premolar, Lower}, 25: {Premolar, Upper}, 36: {Molar, Lower}, 48: {Molar, Lower},
	} {
		assert.Equal(t, want.class, fdi.Class(), "%v", fdi)
		assert.Equal(t, want.arch, fdi.Arch(), "%v", fdi)
	}
}

func TestToothInTheReadersNotation(t *testing.T) {
	assert.Equal(t, "13", Tooth(13).In(FDI))
	assert.Equal(t, "6", Tooth(13).In(Universal))
	assert.Equal(t, "UR3", Tooth(13).In(Palmer))
}
