package cli

import (
	"cmp"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const readmePath = "../../README.md"

// shown is a command line of the README and the exit code that the paragraph
// before it names; 0 where it names none.
type shown struct {
	line string
	code int
}

var exitCode = regexp.MustCompile(`exit code ([0-9])`)

// commandLines gives every line of code of a README that is no data: indented
// ones, and those of fences without a language or with that of a shell.
func commandLines(readme string) (out []shown) {
	code, fence, before := 0, "", ""
	for line := range strings.Lines(readme) {
		line = strings.TrimRight(line, "\n")
		command, indented := strings.CutPrefix(line, "    ")
		switch {
		case fence == "" && strings.HasPrefix(line, "```"):
			fence = line
		case fence != "" && strings.HasPrefix(line, "```"):
			fence = ""
		case fence == "```" || fence == "```sh" || fence == "```console":
			out = append(out, shown{strings.TrimPrefix(line, "$ "), code})
		case fence != "":
		case indented && (before == "" || strings.HasPrefix(before, "    ")):
			out = append(out, shown{command, code})
		case line != "":
			if before == "" {
				code = 0 // a new paragraph
			}
			if m := exitCode.FindStringSubmatch(before + " " + line); m != nil {
				code, _ = strconv.Atoi(m[1]) // one digit
			}
		}
		before = line
	}
	return out
}

// words splits a command line as a shell does, as far as the README goes.
func words(line string) (out []string) {
	word, quoted := "", false
	for _, r := range line + " " {
		switch {
		case r == '"':
			quoted = !quoted
		case r == ' ' && !quoted:
			if word != "" {
				out = append(out, word)
			}
			word = ""
		default:
			word += string(r)
		}
	}
	return out
}

// Every command line that the README shows works as it stands and ends as the
// README says.
func TestReadmeCommands(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a program of its own through every command of the README")
	}
	lines := commandLines(read(t, readmePath))
	if len(lines) < 8 {
		t.Fatalf("only %d command lines found: %v", len(lines), lines)
	}
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.CopyFS("testdata", os.DirFS(filepath.Join(root, "testdata"))); err != nil {
		t.Fatal(err)
	}
	for _, s := range lines {
		line := strings.Replace(s.line, "go run ./cmd/plumbrule ", "plumbrule ", 1)
		args := words(line)
		switch {
		case args[0] == "plumbrule":
			run(t, args[1:]...).exits(s.code)
		case line == "go test ./...":
			// The command that runs this test.
		case line == "go install ./cmd/plumbrule":
			install := exec.Command(args[0], args[1:]...)
			install.Dir, install.Env = root, append(os.Environ(), "GOBIN="+t.TempDir())
			if said, err := install.CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", line, err, said)
			}
		default:
			t.Errorf("the README shows %q, which no test can run", line)
		}
	}
}

// pictureRules is where a picture says which one it was drawn with.
var pictureRules = regexp.MustCompile(`rule set [0-9a-f]{12}`)

// totalsLine is how the outcomes came out, below the comments.
var totalsLine = regexp.MustCompile(`(?m)^\n[0-9]+ outcomes?: `)

// The README's job, what it prints, and the sample beside it are what the
// program reads and prints now. -update rewrites them. The samples end before
// the totals, which every new check changes.
func TestReadmeSamples(t *testing.T) {
	readme := read(t, readmePath)
	t.Chdir("../..")
	findings := func(args ...string) string {
		out := run(t, args...).exits(exitOutstanding).stdout
		at := totalsLine.FindStringIndex(out)
		if at == nil {
			t.Fatalf("%q prints no totals", args)
		}
		return out[:at[0]]
	}
	var job, barn, built string
	for _, s := range commandLines(readme) {
		args := words(s.line)
		switch {
		case strings.HasPrefix(s.line, "plumbrule check --only") && strings.HasSuffix(s.line, "workshop.toml"):
			job = findings(args[1:]...)
		case strings.HasPrefix(s.line, "plumbrule check --only") && strings.HasSuffix(s.line, "barn-as-built-faulty.toml"):
			built = findings(args[1:]...)
		case strings.HasPrefix(s.line, "go run ./cmd/plumbrule check"):
			barn = findings(args[3:]...)
		}
	}
	if job == "" || barn == "" || built == "" {
		t.Fatal("the README no longer shows the commands of its samples")
	}
	compare(t, filepath.FromSlash("testdata/readme/barn-faulty.txt"), barn)
	plan, survey, _ := strings.Cut(readme, "\n## As built")
	measured := strings.SplitAfterN(read(t, filepath.FromSlash("testdata/jobs/barn-survey-faulty.csv")), "\n", 5)
	plan = fenced(fenced(plan, "toml", read(t, filepath.FromSlash("testdata/readme/workshop.toml"))), "text", job)
	survey = fenced(fenced(survey, "csv", strings.Join(measured[:4], "")), "text", built)
	compare(t, "README.md", plan+"\n## As built"+survey)

	drawn := filepath.Join(t.TempDir(), "barn.svg")
	run(t, "check", "--write", drawn, "testdata/jobs/barn-faulty.toml").exits(exitOutstanding)
	// The picture keeps the rule set that it was last drawn with.
	picture := filepath.FromSlash("testdata/readme/barn-faulty.svg")
	before := pictureRules.FindString(read(t, picture))
	compare(t, picture, pictureRules.ReplaceAllLiteralString(read(t, drawn), cmp.Or(before, "rule set")))
}

// fenced puts a text into the first fence of a language.
func fenced(readme, language, text string) string {
	before, after, _ := strings.Cut(readme, "```"+language+"\n")
	_, after, _ = strings.Cut(after, "```\n")
	return before + "```" + language + "\n" + text + "```\n" + after
}

// The README names no flag, ending or command that is not there, and none of
// the commands and endings is missing from it.
func TestReadmeNamesWhatIsThere(t *testing.T) {
	readme := read(t, readmePath)
	flags := map[string]bool{}
	root := (&program{}).newRoot()
	for _, c := range append([]*cobra.Command{root}, root.Commands()...) {
		c.Flags().VisitAll(func(f *pflag.Flag) { flags["--"+f.Name] = true })
		if c != root && !strings.Contains(readme, "`plumbrule "+c.Name()) {
			t.Errorf("the README does not name the command %s", c.Name())
		}
	}
	for _, f := range regexp.MustCompile(`--[a-z][a-z0-9-]*`).FindAllString(readme, -1) {
		if !flags[f] {
			t.Errorf("the README names %s, which no command has", f)
		}
	}
	for _, w := range writers {
		if !strings.Contains(readme, "`"+w.ending+"`") {
			t.Errorf("the README does not name the ending %s", w.ending)
		}
	}
}
