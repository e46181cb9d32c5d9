package main_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/cmd/exit"
)

// What comes first holds: the outputs in place, or the interruption.
func TestEnding(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var e exit.Ending
	broken := errors.New("the disk is full")
	assert.ErrorIs(t, e.Finish(ctx, func() error { return broken }), broken)
	assert.False(t, e.Finished(), "nothing stands")
	assert.NoError(t, e.Finish(ctx, func() error { cancel(); return nil }), "interrupted in the middle, it is ended")
	assert.True(t, e.Finished())

	var late exit.Ending
	assert.ErrorIs(t, late.Finish(ctx, func() error { t.Error("put in place after the interruption"); return nil }), context.Canceled)
	assert.False(t, late.Finished())
}
