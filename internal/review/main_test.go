package review

import (
	"os"
	"runtime/debug"
	"testing"
)

// The tests review jobs by the thousand, each review soon thrown away: memory is
// collected a quarter as often as usual, for a third of the time would go into
// it.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	os.Exit(m.Run())
}
