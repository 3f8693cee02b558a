// Package garbage says how seldom the program collects garbage. It is initialised
// before the packages that describe jobs and codes, whose memory is needed to the end,
// so that none is collected while they make it: a run is short and its memory small,
// and to collect half as often saves about a tenth of the processor's time from start
// to report. GOGC in the environment says otherwise.
package garbage

import (
	"os"
	"runtime/debug"
)

// percent is how much the memory in use may grow, of what is live, before garbage is
// collected again.
const percent = 200

func init() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(percent)
	}
}
