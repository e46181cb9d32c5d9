package flags

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAnswerFlag(t *testing.T) {
	var a Answers
	require.NoError(t, a.Set("signs=sizes"))
	require.NoError(t, a.Set("style MK = clinician"))
	assert.Equal(t, Answers{"signs": "sizes", "style MK": "clinician"}, a)
	assert.Error(t, a.Set("signs"))
}
