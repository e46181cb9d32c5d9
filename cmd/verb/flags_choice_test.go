package verb_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/flags"
)

func TestAnswerFlag(t *testing.T) {
	var a flags.Answers
	require.NoError(t, a.Set("signs=sizes"))
	require.NoError(t, a.Set("style MK = clinician"))
	assert.Equal(t, flags.Answers{"signs": "sizes", "style MK": "clinician"}, a)
	assert.Error(t, a.Set("signs"))
}
