package privacy

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Letters that differ from case to case are told from prefixes and from drawn codes.
func TestLettered(t *testing.T) {
	for codes, want := range map[string]int{
		"AK-85 BM-90 CD-04 EF-78":          4,
		"SMI001 JON002 TAY003 BRO004":      4,
		"A.K. B.M. C.D.":                   3,
		"AK03/85 BM07/90 CD11/04":          3,
		"MAR.JE KOW.AN BON.GI":             3,
		"AK BM CD EF":                      4,
		"KOW-ANN-85 BON-GIU-91 ADE-OLU-78": 3,
		"7QX2MB 1ZK9TT 4HB2XW 8MM3QL":      0,
		"MQ-001 MQ-002 MQ-003":             0,
		"F1 F2 G1 H1":                      0,
		"AK-85":                            0,
		"case1 fall2 patient3":             0,
		"MQ-1 MQ-2 ZN-1 ZN-2 ZN-3 MQ-3":    0,
		"P-BCDF-GHJK-LMNP P-TTVW-XZBC-RRSS P-XMQC-NTMP-GMJW": 0,
	} {
		assert.Equal(t, want, Lettered(strings.Fields(codes)), codes)
	}
	assert.Equal(t, 1, Lettered(append(numbersIn("MQ-%03d", to(12)...), "KOW-ANN-85")))
	assert.Equal(t, 0, Lettered(append(numbersIn("MQ-%03d", to(12)...), "104233")))
}
