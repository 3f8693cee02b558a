package review

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// demoJobs are the demo jobs by name.
func demoJobs(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(jobs, "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, p := range paths {
		if name := strings.TrimSuffix(filepath.Base(p), ".toml"); name != "equipment" {
			out = append(out, name)
		}
	}
	if len(out) < 6 {
		t.Fatalf("only %d demo jobs", len(out))
	}
	if testing.Short() {
		return slices.DeleteFunc(out, func(name string) bool { return name != "barn" && name != "house-faulty" })
	}
	return out
}

// session opens a demo job.
func session(t testing.TB, name string) *Session {
	t.Helper()
	return sessionOf(t, filepath.Join(jobs, name+".toml"), Options{Leave: Leave{Stated: true}})
}

// writtenOut opens a demo job as plumbrule expand prints it, so that an edit of
// one thing reaches nothing that is like it.
func writtenOut(t testing.TB, name string) *Session {
	t.Helper()
	path := filepath.Join(jobs, name+".toml")
	tree, err := job.LoadTree(path)
	if err != nil {
		t.Fatal(err)
	}
	text, err := tree.Expanded()
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = job.Read(path, text, job.ReadFile); err != nil {
		t.Fatal(err)
	}
	b, tables := book(t)
	s, err := NewSession(tree, b, tables, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// sessionOf opens the job in a file.
func sessionOf(t testing.TB, path string, o Options) *Session {
	t.Helper()
	b, tables := book(t)
	tree, err := job.LoadTree(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := NewSession(tree, b, tables, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// whole reports whether the long tests are asked for.
func whole() bool { return os.Getenv("PLUMBRULE_LONG") != "" }

// share is the part of their work that long loops do: a quarter in short tests.
func share() int {
	if testing.Short() {
		return 4
	}
	return 1
}

// step takes a part of a long list of mutations: all of them where the long
// tests are asked for, else every nth, and a quarter of those in short tests.
func step[T any](list []T, n int) []T {
	if whole() {
		return list
	}
	var out []T
	for i := 0; i < len(list); i += n * share() {
		out = append(out, list[i])
	}
	return out
}

// told is all that an outcome says, for comparison.
func told(o *Outcome) string {
	return fmt.Sprint(o.Check.ID, "|", o.Subject.Label(), "|", o.Subject.Key, "|", o.Result, "|", o.Measure, "|", o.Limit, "|", o.Finding, "|", o.Remedy,
		"|", o.Reason, "|", o.Needs, "|", o.Reasons, "|", o.At.Position(), "|", o.Excused != nil)
}

// commented is all that the comments of a review ask for, and what comes of them.
func commented(r *Review) string {
	var b strings.Builder
	for _, c := range r.Comments() {
		fmt.Fprint(&b, c.Number, " ", c.Key(), " ", c.Result)
		for _, o := range c.Subjects {
			fmt.Fprint(&b, " ", r.Number(o), " ", nameOf(o))
		}
		for _, m := range c.Missing {
			fmt.Fprint(&b, " ", m.Need)
		}
		for _, f := range c.Follows {
			fmt.Fprint(&b, "; ", f.Check.ID, " ", f.Result, " ", f.Further)
			for _, o := range f.Subjects {
				fmt.Fprint(&b, " ", nameOf(o))
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// A session that reviews a job again after a change says what a review of the
// changed job from the start says, and takes over what did not read the changed
// value. Each value is left out, and changed.
func TestSessionEqualsReview(t *testing.T) {
	for n, name := range demoJobs(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := session(t, name)
			b, tables := book(t)
			all := append(mutation.Removals(s.Review().Job), mutation.Changes(s.Review().Job, 0.93, 1.07)...)
			tried, taken, outcomes := 0, 0, 0
			for _, m := range step(all[n%7:], 61) {
				next, err := s.With(m.Edits)
				if err != nil {
					continue // the job cannot be read: refused
				}
				j, err := next.Tree().Job()
				if err != nil {
					t.Fatal(err)
				}
				want, err := Run(j, b, tables, Options{})
				if err != nil {
					t.Fatal(err)
				}
				got := next.Review()
				if len(got.Outcomes) != len(want.Outcomes) || !reflect.DeepEqual(got.Totals, want.Totals) {
					t.Errorf("%s: %d outcomes %+v, expected %d %+v", m.Says, len(got.Outcomes), got.Totals, len(want.Outcomes), want.Totals)
					continue
				}
				for i := range want.Outcomes {
					if g, w := told(&got.Outcomes[i]), told(&want.Outcomes[i]); g != w {
						t.Errorf("%s: the session says\n%s\nand a review from the start\n%s", m.Says, g, w)
						break
					}
				}
				if g, w := commented(got), commented(want); g != w {
					t.Errorf("%s: the comments of the session are\n%s\nand those of a review from the start\n%s", m.Says, g, w)
				}
				tried++
				taken += got.taken
				outcomes += len(got.Outcomes)
			}
			if tried < 5 {
				t.Fatalf("only %d changes could be tried", tried)
			}
			if taken < outcomes/2 {
				t.Errorf("only %d of %d outcomes were taken over", taken, outcomes)
			}
		})
	}
}

// An outcome records the keys that it rests on, through every term between.
func TestOutcomesRecordWhatTheyRead(t *testing.T) {
	r := session(t, "barn").Review()
	want := map[string][]string{
		"electrical/string-voltage-building": {"site.record_low", "adoption.nec", "building.dwelling"},
		"structural/attachment-uplift":       {"site.wind_speed", "site.exposure", "building.mean_roof_height", "array.west.attachments.spacing", "plane.south.slope"},
		"layout/fastener-on-framing":         {"plane.south.framing.spacing", "array.west.attachments.spacing", "array.west.origin"},
	}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		keys, listed := want[o.Check.ID]
		if !listed || o.Result == NotApplicable || strings.Contains(o.Subject.Name, "east") || strings.Contains(o.Subject.Name, "north") {
			continue
		}
		delete(want, o.Check.ID)
		var read []string
		for _, k := range o.Reads() {
			read = append(read, k.Key)
		}
		for _, k := range keys {
			if !slices.Contains(read, k) {
				t.Errorf("%s for %s does not say that it read %s, but %q", o.Check.ID, o.Subject.Label(), k, read)
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("no outcome of %v", want)
	}
}

func BenchmarkSessionOneValue(b *testing.B) {
	s := session(b, "barn")
	speeds := []string{"115 mph", "116 mph"}
	i := 0
	for b.Loop() {
		if _, err := s.With(job.Edits{Set: map[string]any{"site.wind_speed": speeds[i%2]}}); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func BenchmarkSessionLabel(b *testing.B) {
	s := session(b, "barn")
	for b.Loop() {
		if _, err := s.With(job.Edits{Set: map[string]any{"project.owner": "somebody else"}}); err != nil {
			b.Fatal(err)
		}
	}
}

// A session that reads a changed text says what a review of that text from the
// start says, at the same places, over many changes one after another, and
// takes over what did not read a changed value.
func TestNextEqualsReview(t *testing.T) {
	for n, name := range demoJobs(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(jobs, name+".toml")
			s := session(t, name)
			b, tables := book(t)
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			taken, outcomes := 0, 0
			random := rand.New(rand.NewPCG(7, uint64(n)))
			tries := 6
			if testing.Short() {
				tries = 3
			}
			for range tries {
				what, changed := retyped(random, string(text))
				tree, err := job.Read(path, []byte(changed), job.ReadFile)
				if err != nil {
					continue
				}
				next, err := s.Next(tree)
				if err != nil {
					continue // the job cannot be read: refused
				}
				j, err := tree.Job()
				if err != nil {
					t.Fatal(err)
				}
				want, err := Run(j, b, tables, Options{})
				if err != nil {
					t.Fatal(err)
				}
				got := next.Review()
				if len(got.Outcomes) != len(want.Outcomes) || !reflect.DeepEqual(got.Totals, want.Totals) {
					t.Fatalf("%s: %d outcomes %+v, expected %d %+v", what, len(got.Outcomes), got.Totals, len(want.Outcomes), want.Totals)
				}
				for i := range want.Outcomes {
					if g, w := toldInFull(&got.Outcomes[i]), toldInFull(&want.Outcomes[i]); g != w {
						t.Fatalf("%s: the session says\n%s\nand a review from the start\n%s", what, g, w)
					}
				}
				if g, w := commented(got), commented(want); g != w {
					t.Errorf("%s: the comments of the session are\n%s\nand those of a review from the start\n%s", what, g, w)
				}
				taken += got.taken
				outcomes += len(got.Outcomes)
				s, text = next, []byte(changed)
			}
			if outcomes == 0 || taken < outcomes/3 {
				t.Errorf("only %d of %d outcomes were taken over", taken, outcomes)
			}
		})
	}
}

// toldInFull is all that an outcome says with its further places and its work.
func toldInFull(o *Outcome) string {
	var also []string
	for _, at := range o.Also() {
		also = append(also, at.Position().String())
	}
	for _, n := range o.Needs {
		also = append(also, n.At.Position().String())
	}
	return fmt.Sprint(told(o), "|", also, "|", o.Work(), "|", o.Why())
}

// retyped changes a line of a job as a person would, and says how.
func retyped(random *rand.Rand, text string) (string, string) {
	lines := strings.Split(text, "\n")
	var values []int // lines with a number
	for i, l := range lines {
		if before, after, ok := strings.Cut(l, "="); ok && !strings.Contains(before, "#") && strings.ContainsAny(after, "123456789") {
			values = append(values, i)
		}
	}
	i := values[random.IntN(len(values))]
	switch random.IntN(5) {
	case 0:
		lines[i] = "# a remark: −14 °F\n\n" + lines[i]
	case 1:
		lines[i] = "  " + strings.Replace(lines[i], "=", "  =", 1)
	case 2:
		return "without " + lines[i], strings.Join(slices.Delete(lines, i, i+1), "\n")
	default:
		key, value, _ := strings.Cut(lines[i], "=")
		at := strings.IndexAny(value, "123456789")
		lines[i] = key + "=" + value[:at] + string("1234567891"[value[at]-'0']) + value[at+1:]
	}
	return lines[i], strings.Join(lines, "\n")
}
