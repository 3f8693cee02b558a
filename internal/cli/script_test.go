package cli

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
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
// of equipment as testdata/lists, of invented packs as testdata/packs and, where it
// names them, of the rules as rules. `exits CODE COMMAND...` runs a command and asserts how it
// ends. With -update, what `cmp stdout FILE` finds different is rewritten.
func TestScripts(t *testing.T) {
	scripts := testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			name := strings.TrimPrefix(filepath.Base(e.WorkDir), "script-")
			script, err := os.ReadFile(filepath.Join("testdata/script", name+".txtar"))
			errs := []error{err}
			for folder, from := range map[string]string{"testdata/jobs": "../../testdata/jobs", "testdata/lists": "../../testdata/lists", "testdata/packs": "../../testdata/packs", "rules": "../../rules"} {
				if folder != "rules" || bytes.Contains(script, []byte("check rules")) || bytes.Contains(script, []byte(" rules/")) { // a thousand files
					errs = append(errs, os.CopyFS(filepath.Join(e.WorkDir, folder), os.DirFS(from)))
				}
			}
			return errors.Join(errs...)
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){"exits": exits},
	}
	if testing.Short() { // each command is a program of its own; these have many jobs at once
		scripts.Dir, scripts.Files = "", []string{"testdata/script/repo.txtar", "testdata/script/standing.txtar", "testdata/script/lsp.txtar"}
	}
	testscript.Run(t, scripts)
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
