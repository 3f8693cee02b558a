package cli

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"plumbrule/internal/draft"
)

// hill are the answers of a person who is asked for a draft.
var hill = draft.Answers{
	"name": "Hill house", "nec": "2023", "irc": "2021", "building": "dwelling",
	"roof": "gable", "length": "40 ft", "width": "28 ft", "slope": "6:12", "eave-height": "9 ft", "front": "south",
	"array": "front: 2 x 8 portrait, 18 in below ridge", "scheme": "micro", "branches": "8, 8",
	"service-voltage": "240 V", "service-system": "split-phase",
}

// linesOf is what a person types who gives answers, in the order in which they
// are asked for.
func linesOf(a draft.Answers) (lines []string) {
	so := draft.Answers{}
	for _, q := range draft.Interview() {
		if !q.Asked(so) || q.Turn != nil && !q.Turn(so) {
			continue
		}
		answer, given := a[q.Name]
		if given {
			so[q.Name] = answer
		}
		lines = append(lines, answer+"\n")
	}
	return lines
}

// drafts runs plumbrule draft in a folder.
func drafts(t *testing.T, dir, typed string, args ...string) (code int, out, errs string) {
	t.Helper()
	c := exec.Command("plumbrule", append([]string{"draft"}, args...)...)
	var o, e bytes.Buffer
	c.Dir, c.Stdin, c.Stdout, c.Stderr = dir, strings.NewReader(typed), &o, &e
	if err := c.Run(); err != nil {
		var ended *exec.ExitError
		if !errors.As(err, &ended) {
			t.Fatal(err)
		}
		code = ended.ExitCode()
	}
	return code, o.String(), e.String()
}

func contents(t *testing.T, dir, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// What a person answers makes the job that the flags make, in one go, broken off
// and gone on with, or from the file of answers.
func TestDraftAsks(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var flags []string
	for name, answer := range hill {
		flags = append(flags, "--"+name, answer)
	}
	if code, _, errs := drafts(t, dir, "", append(flags, "--output", "flags.toml")...); code != exitClear {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	want := contents(t, dir, "flags.toml")
	lines := linesOf(hill)

	code, out, errs := drafts(t, dir, strings.Join(lines, ""), "--ask", "--output", "whole.toml")
	if code != exitClear || !strings.Contains(out, "whole.toml") || strings.Contains(out, "?") {
		t.Fatalf("exit code %d, it printed %q and on stderr\n%s", code, out, errs)
	}
	if got := contents(t, dir, "whole.toml"); got != want {
		t.Errorf("the job of the answers differs from that of the flags:\n%s", got)
	}
	if _, err := os.Stat(filepath.Join(dir, "whole.toml.answers")); err == nil {
		t.Error("the answers are still there")
	}

	// Broken off before what is needed is said, and again at the last question.
	code, _, errs = drafts(t, dir, strings.Join(lines[:12], ""), "--ask", "--output", "parts.toml")
	if code != exitOutstanding || !strings.Contains(errs, "plumbrule draft --ask --output parts.toml\n") || strings.Contains(errs, "draft --answers") {
		t.Errorf("exit code %d and\n%s", code, errs)
	}
	if _, err := os.Stat(filepath.Join(dir, "parts.toml")); err == nil {
		t.Error("a job was written")
	}
	last := len(lines) - 1
	code, _, errs = drafts(t, dir, strings.Join(lines[12:last], ""), "--ask", "--output", "parts.toml")
	if code != exitOutstanding || !strings.Contains(errs, "plumbrule draft --answers parts.toml.answers --output parts.toml\n") {
		t.Errorf("exit code %d and\n%s", code, errs)
	}
	if code, _, errs = drafts(t, dir, "", "--answers", "parts.toml.answers", "--output", "early.toml"); code != exitClear || contents(t, dir, "early.toml") != want {
		t.Errorf("exit code %d and\n%s", code, errs)
	}
	if code, _, errs = drafts(t, dir, lines[last], "--ask", "--output", "parts.toml"); code != exitClear || contents(t, dir, "parts.toml") != want {
		t.Errorf("exit code %d and\n%s", code, errs)
	}

	// Answers in a file of their own stay, and what the flags say is not asked.
	rest := linesOf(hill)[1:]
	code, _, errs = drafts(t, dir, strings.Join(rest, ""), "--ask", "--name", "Hill house", "--answers", "kept.answers", "--output", "kept.toml")
	if code != exitClear || strings.Contains(errs, "Name of the job") {
		t.Errorf("exit code %d and\n%s", code, errs)
	}
	if code, _, errs = drafts(t, dir, "", "--answers", "kept.answers", "--output", "kept2.toml"); code != exitClear || contents(t, dir, "kept2.toml") != want {
		t.Errorf("exit code %d and\n%s", code, errs)
	}
}

// What is wrong is said before the first question.
func TestDraftAsksNothingWhereThatHelpsNobody(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "there.toml"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "bad.answers"), []byte("roof = \"dome\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"a flag":          {[]string{"--ask", "--roof", "dome", "--output", "a.toml"}, `--roof: found "dome"`},
		"files":           {[]string{"--ask", "--from", "roof.dxf", "--output", "a.toml"}, "--ask and --from do not go together"},
		"the output":      {[]string{"--ask", "--output", "there.toml"}, "there is such a file"},
		"the answers":     {[]string{"--ask", "--answers", "bad.answers", "--output", "a.toml"}, `bad.answers:1:8: roof: found "dome"`},
		"no such answers": {[]string{"--answers", "none.answers", "--output", "a.toml"}, "--answers none.answers: there is no such file"},
		"no terminal":     {[]string{"--output", "a.toml"}, "--name: is left out"},
	} {
		code, out, errs := drafts(t, dir, "Hill house\n", c.args...)
		if code != exitInput || out != "" || !strings.Contains(errs, c.want) || strings.Contains(errs, "Name of the job") {
			t.Errorf("%s: exit code %d and\n%s", name, code, errs)
		}
	}
	if code, _, errs := drafts(t, dir, "", "--ask", "--output", "a.toml"); code != exitOutstanding || !strings.Contains(errs, "no answer was given") {
		t.Errorf("exit code %d and\n%s", code, errs)
	}
}
