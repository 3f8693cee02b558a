package cli

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the scripts run this binary as the program, in a process of its
// own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"plumbrule": func() { os.Exit(Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// One script a command, over the project's own rules and demo jobs. A script
// runs in a folder that holds copies of the jobs as testdata/jobs, of the lists
// of equipment as testdata/lists, of invented packs as testdata/packs and of the
// rules as rules. `exits CODE COMMAND...` runs a command and asserts how it
// ends. With -update, what `cmp stdout FILE` finds different is rewritten.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			return errors.Join(
				os.CopyFS(filepath.Join(e.WorkDir, "testdata", "jobs"), os.DirFS("../../testdata/jobs")),
				os.CopyFS(filepath.Join(e.WorkDir, "testdata", "lists"), os.DirFS("../../testdata/lists")),
				os.CopyFS(filepath.Join(e.WorkDir, "testdata", "packs"), os.DirFS("../../testdata/packs")),
				os.CopyFS(filepath.Join(e.WorkDir, "rules"), os.DirFS("../../rules")),
			)
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){"exits": exits},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	want, err := 0, error(nil)
	if len(args) > 1 {
		want, err = strconv.Atoi(args[0])
	}
	if neg || err != nil || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND...")
	}
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, expected %d", got, want)
	}
}
