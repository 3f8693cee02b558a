// Command plumbrule holds a photovoltaic submittal against the codes.
package main

import (
	"os"
	"runtime/debug"

	"plumbrule/internal/cli"
)

func main() {
	if os.Getenv("GOGC") == "" {
		// A run is short and its memory small: collecting garbage half as often
		// saves about a tenth of the processor's time from start to report.
		debug.SetGCPercent(200)
	}
	// A program of Go that runs out of memory ends with 2, which says here that
	// the input is wrong. In this way it is aborted: no exit code of ours.
	debug.SetTraceback("crash")
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
