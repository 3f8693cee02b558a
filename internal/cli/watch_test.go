package cli

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

// printed collects what a process prints, to be read while it runs. The buffer
// is no embedded one: its ReadFrom would be used in place of Write.
type printed struct {
	mu  sync.Mutex
	all bytes.Buffer
}

func (p *printed) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.all.Write(b)
}

func (p *printed) String() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.all.String()
}

// watched is a running check --watch.
type watched struct {
	t        *testing.T
	dir      string
	process  *exec.Cmd
	out, err printed
	told     map[*printed]int // how much of it the test has looked at
}

// startWatch runs the program in a folder with files.
func startWatch(t *testing.T, dir string, args ...string) *watched {
	t.Helper()
	w := &watched{t: t, dir: dir, process: exec.Command("plumbrule", append([]string{"check", "--watch"}, args...)...)}
	w.told = map[*printed]int{}
	w.process.Dir, w.process.Stdout, w.process.Stderr = dir, &w.out, &w.err
	if err := w.process.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = w.process.Process.Kill() })
	return w
}

// says waits until the process has printed a text that the test has not yet
// looked at, and gives what it printed up to the end of that.
func (w *watched) says(p *printed, want string) string {
	w.t.Helper()
	for range 200 {
		fresh := p.String()[w.told[p]:]
		if i := strings.Index(fresh, want); i >= 0 {
			w.told[p] += i + len(want)
			return fresh[:i+len(want)]
		}
		time.Sleep(50 * time.Millisecond)
	}
	w.t.Fatalf("it never said %q; it said\n%s\nand on stderr\n%s", want, w.out.String(), w.err.String())
	return ""
}

func (w *watched) save(name, text string) {
	w.t.Helper()
	if err := os.WriteFile(filepath.Join(w.dir, name), []byte(text), 0o644); err != nil {
		w.t.Fatal(err)
	}
}

// ends interrupts the process and wants an exit code.
func (w *watched) ends(code int) {
	w.t.Helper()
	if err := w.process.Process.Signal(os.Interrupt); err != nil {
		w.t.Fatal(err)
	}
	got := 0
	if err := w.process.Wait(); err != nil {
		var ended *exec.ExitError
		if !errors.As(err, &ended) {
			w.t.Fatal(err)
		}
		got = ended.ExitCode()
	}
	if got != code {
		w.t.Errorf("exit code %d, expected %d", got, code)
	}
}

const watchedJob = `include = ["parts.toml"]
project.name = "Shed"
adoption.nec = "2023"
building.dwelling = true
site.record_low = "-14 degF"
inverter = [{ name = "garage", type = "S5" }]
plane = [{ name = "south" }]
array = [{ name = "south", plane = "south", module = "M410" }]
string = [{ name = "S1", array = "south", inverter = "garage", modules = 12 }]
`

const watchedParts = `module_type = [{ name = "M410", voc = "37.2 V", voc_coefficient = "-0.27 %/degC", maximum_system_voltage = "1000 V" }]
inverter_type = [{ name = "S5", maximum_input_voltage = "480 V" }]
`

const ownersRule = `title = "The owner is the county"
severity = "correction"
each = "project"
require = 'project.owner == "County"'
because = "a trial"
[[cite]]
code = "county handout"
section = "1"
[[example]]
job = "house"
set = {"project.owner" = "County"}
expect = "met"
[[example]]
job = "house"
set = {"project.owner" = "Town"}
expect = "not met"
[[example]]
job = "house"
unset = ["project.owner"]
expect = "undetermined"
`

// A process that watches says what each save brought, whichever file it was and
// however it was saved.
func TestWatch(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be interrupted from another there")
	}
	t.Parallel()
	dir := t.TempDir()
	w := &watched{t: t, dir: dir}
	w.save("job.toml", watchedJob)
	w.save("parts.toml", watchedParts)
	w = startWatch(t, dir, "--only", "electrical/string-voltage-inverter", "--write", "plan.md", "job.toml")

	first := w.says(&w.out, "Watching 2 files")
	if !strings.Contains(first, "1  not met  String voltage in the cold") || strings.Contains(first, "Worked") {
		t.Errorf("it begins with the report of a line a comment, not with\n%s", first)
	}
	letter, err := os.ReadFile(filepath.Join(dir, "plan.md"))
	if err != nil {
		t.Fatal(err)
	}

	// The file that is included is saved in place.
	w.save("parts.toml", strings.Replace(watchedParts, "480 V", "500 V", 1))
	got := w.says(&w.out, "1 correction outstanding.")
	for _, want := range []string{"CHANGED ", "was: 12 modules in series come to 507.33 V at -14 degF; the inverter takes 480 V", "takes 500 V"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	if now, err := os.ReadFile(filepath.Join(dir, "plan.md")); err != nil || bytes.Equal(now, letter) {
		t.Errorf("the letter was not written anew (%v)", err)
	}

	// The job is saved as a file of another name that takes its place.
	w.save("job.new", strings.Replace(watchedJob, "modules = 12", "modules = 11", 1))
	if err := os.Rename(filepath.Join(dir, "job.new"), filepath.Join(dir, "job.toml")); err != nil {
		t.Fatal(err)
	}
	if got := w.says(&w.out, "Nothing is outstanding."); !strings.Contains(got, "GONE ") || !strings.Contains(got, "now: met: ") {
		t.Errorf("the finding is gone, and it says\n%s", got)
	}

	// A job that cannot be read: every fault, and it goes on. Nothing is written.
	written := stamp(t, filepath.Join(dir, "plan.md"))
	w.save("job.toml", "array = 1\nroof = 2\n")
	w.says(&w.err, "job.toml:1:9: array: ")
	w.says(&w.err, "job.toml:2:1: unknown key \"roof\"")
	if err := os.Remove(filepath.Join(dir, "job.toml")); err != nil {
		t.Fatal(err)
	}
	w.says(&w.err, "job.toml: there is no such file")
	if stamp(t, filepath.Join(dir, "plan.md")) != written {
		t.Error("the letter was written from a job that cannot be read")
	}

	// A value left out: held against the last review that there was.
	w.save("job.toml", strings.Replace(strings.Replace(watchedJob, "modules = 12", "modules = 11", 1), "site.record_low", "#", 1))
	got = w.says(&w.out, "1 correction outstanding.")
	for _, want := range []string{"NEW ", "CORRECTION, undetermined", "MISSING NOW", "site.record_low"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	// A comment changes nothing.
	w.save("parts.toml", "# checked\n"+strings.Replace(watchedParts, "480 V", "500 V", 1))
	w.says(&w.out, "Nothing changed.")
	w.ends(1)
}

func stamp(t *testing.T, path string) time.Time {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.ModTime()
}

// Several jobs, a folder of rules, and a report that goes to a file: a job that
// cannot be read at first is waited for, and the exit code is that of the last
// review.
func TestWatchSeveral(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be interrupted from another there")
	}
	t.Parallel()
	dir := t.TempDir()
	w := &watched{t: t, dir: dir}
	if err := os.MkdirAll(filepath.Join(dir, "county/fire"), 0o755); err != nil {
		t.Fatal(err)
	}
	w.save("county/fire/owner-is-named.toml", ownersRule)
	w.save("a.toml", "broken")
	w.save("parts.toml", watchedParts)
	w.save("b.toml", strings.Replace(watchedJob, "Shed", "Barn", 1))
	w = startWatch(t, dir, "--only", "fire/owner-is-named", "--rules", "county", "--output", "report.json", "--format", "json", "a.toml", "b.toml")
	w.says(&w.out, "Watching 4 files")
	w.says(&w.err, "a.toml:1:6: not TOML")
	w.save("a.toml", watchedJob)
	w.says(&w.out, "The report is written to report.json.")
	if text, err := os.ReadFile(filepath.Join(dir, "report.json")); err != nil || !bytes.Contains(text, []byte(`"undetermined"`)) {
		t.Errorf("the report is not there (%v)", err)
	}
	w.save("b.toml", strings.Replace(watchedJob, "project.name", "project.owner = \"County\"\nproject.name", 1))
	if got := w.says(&w.out, "Nothing is outstanding."); strings.Contains(got, "CHANGES  a.toml") || !strings.Contains(got, "GONE ") {
		t.Errorf("the finding of the second job is gone, and it says\n%s", got)
	}
	w.save("county/fire/owner-is-named.toml", strings.Replace(ownersRule, `"County"`, `"Town"`, 1))
	w.says(&w.out, "CHANGES  b.toml")
	w.says(&w.out, "1 correction outstanding.")
	w.save("county/fire/second.toml", "title = 1\n")
	w.says(&w.err, "county/fire/second.toml:1:")
	w.save("a.toml", "broken")
	w.says(&w.err, "a.toml:1:6: not TOML")
	w.ends(2)
}

// A folder of equipment is watched too: a file that comes into it, and no other
// name, makes another review.
func TestWatchEquipment(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be interrupted from another there")
	}
	t.Parallel()
	dir := t.TempDir()
	w := &watched{t: t, dir: dir}
	if err := os.Mkdir(filepath.Join(dir, "stock"), 0o755); err != nil {
		t.Fatal(err)
	}
	module, inverter, _ := strings.Cut(watchedParts, "\n")
	w.save("stock/modules.toml", module)
	w.save("job.toml", strings.Replace(watchedJob, `include = ["parts.toml"]`, `equipment = "stock"`, 1))
	w = startWatch(t, dir, "--only", "electrical/string-voltage-inverter", "job.toml")
	w.says(&w.out, "Watching 2 files")
	w.says(&w.err, `no inverter_type is named "S5"`)
	w.save("stock/.inverters.toml.swp", inverter)
	w.save("stock/inverters.toml", inverter)
	w.says(&w.out, "1  not met  String voltage in the cold")
	w.save("stock/notes.txt", "none")
	w.save("stock/inverters.toml", strings.Replace(inverter, "480 V", "600 V", 1))
	w.says(&w.out, "Nothing is outstanding.")
	if told := w.out.String(); strings.Contains(told, "Nothing changed.") {
		t.Errorf("it reviewed where nothing was saved:\n%s", told)
	}
	w.ends(0)
}
