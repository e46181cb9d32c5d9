// Package storetest is the contract of store.Store: what every implementation
// must do, as tests that run over any of them.
//
// Place in the pipeline: none; imported by tests alone.
package storetest

import (
	"context"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
)

// Long reports whether tests are asked for all of what everyday they do a part of.
var Long = os.Getenv("SHORTFALL_LONG") != ""

// Implementation is what the contract needs to know of one.
type Implementation struct {
	// Address names a database that does not exist yet and is gone with the test.
	Address func(t testing.TB) string
	// Open opens the database at an address, or makes it.
	Open func(ctx context.Context, address string) (store.Store, error)
	// Check, where not nil, looks for damage beyond what Open finds.
	Check func(t testing.TB, address string)
	// Bytes, where not nil, gives all that is on disk of an open database.
	Bytes func(t testing.TB, db store.Store) []byte
	// Next, where not nil, lets the program know one schema more, which adds a column,
	// until back is called; broken: the last statement of that change fails.
	Next func(broken bool) (back func())
	// Hold, where not nil, keeps others from writing until release is called; they then
	// wait for a moment only.
	Hold func(t testing.TB, address string) (release func())
	// Decided: everyday only what a database can do wrong by itself is tried, which is how it
	// keeps, finds and guards its rows; what becomes of a record is decided
	// by code that all implementations share, and another one's tests try it everyday.
	// With SHORTFALL_LONG it is the whole contract all the same.
	Decided bool
	// Dear: a database takes long to make, so that with SHORTFALL_LONG there are fewer kills,
	// and fewer of the ways in which a practice is told, than of one that is quickly made.
	Dear bool
	// Sweeps: even a write that is refused may sweep away what counts no more, after which
	// what was kept of the state is computed again.
	Sweeps bool
	// Empty, where not nil, empties an open database of all that was kept in it. Everyday the
	// parts of the contract then share one, as one takes long to make and to get to know.
	Empty func(t testing.TB, db store.Store)

	shared *sharing
}

// sharing is what parts of the contract share.
type sharing struct {
	t  *testing.T  // of all of them
	db store.Store // nil before the first
}

// Create makes a database that is closed with the test, or empties the one that is shared.
func (im Implementation) Create(t testing.TB) store.Store {
	t.Helper()
	if im.shared == nil {
		return im.anew(t)
	}
	if im.shared.db == nil {
		im.shared.db = im.anew(im.shared.t)
	}
	im.Empty(t, im.shared.db)
	return im.shared.db
}

func (im Implementation) anew(t testing.TB) store.Store {
	t.Helper()
	db, err := im.Open(context.Background(), im.Address(t))
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

// byItself are the parts of the contract that a database can break by itself, and of which it
// takes little to see that it does: what kills, holds or waits for another is in the long form.
var byItself = []string{
	"EveryFieldAndWordRoundTrips", "MissingIsNeverZero", "LoadIsInKeyOrder", "CorrectedRowSupersedes", "RejectedRowsAndProblemsAreKept",
	"SchemaRefuses", "FailedImportLeavesItsFile", "LaterVersionRetires", "RemovedCaseStaysOut",
	"ErasedCaseIsGone", "RenamePractice", "Profiles", "FingerprintTellsChanges", "SumsAreThoseOfTheMovements",
}

// Run runs the contract. Its length is that of the list of it.
func (im Implementation) Run(t *testing.T) {
	if im.Empty != nil && !Long {
		im.shared = &sharing{t: t}
	}
	for _, c := range []struct {
		name string
		run  func(*testing.T)
	}{
		{"EveryFieldAndWordRoundTrips", im.testEveryFieldAndWordRoundTrips},
		{"MissingIsNeverZero", im.testMissingIsNeverZero},
		{"LoadIsInKeyOrder", im.testLoadIsInKeyOrder},
		{"SameFileTwiceChangesNothing", im.testSameFileTwiceChangesNothing},
		{"CorrectedRowSupersedes", im.testCorrectedRowSupersedes},
		{"CorrectionOfACorrection", im.testCorrectionOfACorrection},
		{"CurrentTellsWhereARecordCameFrom", im.testCurrentTellsWhereARecordCameFrom},
		{"RecordsInOneForm", im.testRecordsInOneForm},
		{"MovementsOfAFile", im.testMovementsOfAFile},
		{"MovementMayArriveBeforeItsCase", im.testMovementMayArriveBeforeItsCase},
		{"RejectedRowsAndProblemsAreKept", im.testRejectedRowsAndProblemsAreKept},
		{"OneKeyTwiceInAFile", im.testOneKeyTwiceInAFile},
		{"SchemaRefuses", im.testSchemaRefuses},
		{"CellsOutsideTheRowKeepTheirPlace", im.testCellsOutsideTheRowKeepTheirPlace},
		{"GrowingWorkbookCountsOnce", im.testGrowingWorkbookCountsOnce},
		{"CorrectionsAloneAreNoVersion", im.testCorrectionsAloneAreNoVersion},
		{"VersionsOfTwoWorkbooksAreKeptApart", im.testVersionsOfTwoWorkbooksAreKeptApart},
		{"ConfirmedAmountsStay", im.testConfirmedAmountsStay},
		{"TwoPracticesWithTheSamePseudonyms", im.testTwoPracticesWithTheSamePseudonyms},
		{"WhichPractice", im.testWhichPractice},
		{"KilledImport", im.testKilledImport},
		{"KilledErasure", im.testKilledErasure},
		{"TwoImportsAtOnce", im.testTwoImportsAtOnce},
		{"SameFileTwiceAtOnce", im.testSameFileTwiceAtOnce},
		{"CancelledImport", im.testCancelledImport},
		{"CancelledChanges", im.testCancelledChanges},
		{"ReadersSeeOneMoment", im.testReadersSeeOneMoment},
		{"HeldByAnother", im.testHeldByAnother},
		{"SchemaIsBroughtOn", im.testSchemaIsBroughtOn},
		{"BrokenChangeLeavesNothing", im.testBrokenChangeLeavesNothing},
		{"SchemaIsBroughtOnOnce", im.testSchemaIsBroughtOnOnce},
		{"Clash", im.testClash},
		{"AnotherPracticeAfterAll", im.testAnotherPracticeAfterAll},
		{"FailedImportLeavesItsFile", im.testFailedImportLeavesItsFile},
		{"SilenceTakesNothing", im.testSilenceTakesNothing},
		{"SilenceOfLaterFiles", im.testSilenceOfLaterFiles},
		{"PlansTakeNoOutcome", im.testPlansTakeNoOutcome},
		{"Spellings", im.testSpellings},
		{"SpellingsOfPractices", im.testSpellingsOfPractices},
		{"ContinuingIsNoClash", im.testContinuingIsNoClash},
		{"CorrectReplacesTheCase", im.testCorrectReplacesTheCase},
		{"TwinsAreRefused", im.testTwinsAreRefused},
		{"SlightTwins", im.testSlightTwins},
		{"LaterVersionRetires", im.testLaterVersionRetires},
		{"CorrectedPseudonym", im.testCorrectedPseudonym},
		{"CasesTheLaterVersionLacksStay", im.testCasesTheLaterVersionLacksStay},
		{"SameBytesReadAnotherWay", im.testSameBytesReadAnotherWay},
		{"RemovedCaseStaysOut", im.testRemovedCaseStaysOut},
		{"ErasedCaseIsGone", im.testErasedCaseIsGone},
		{"RemoveFileUndoes", im.testRemoveFileUndoes},
		{"RenamePractice", im.testRenamePractice},
		{"Profiles", im.testProfiles},
		{"FingerprintTellsChanges", im.testFingerprintTellsChanges},
		{"SumsAreThoseOfTheMovements", im.testSumsAreThoseOfTheMovements},
	} {
		if im.Decided && !Long && !slices.Contains(byItself, c.name) {
			continue
		}
		t.Run(c.name, c.run)
	}
}
