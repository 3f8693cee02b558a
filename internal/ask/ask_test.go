package ask

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"reflect"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/ansi"

	"plumbrule/internal/draft"
	"plumbrule/internal/source"
)

// questions are a few that ask in every way there is.
func questions() []*draft.Question {
	return []*draft.Question{
		{Name: "name", Asks: "Name of the job", Section: "Job", Required: true},
		{Name: "units", Asks: "Units", Section: "Job", Words: []string{"US", "SI"}, Default: "US"},
		{Name: "roof", Asks: "Shape of the roof", Section: "Roof", Words: []string{"gable", "flat"}, Required: true},
		{Name: "slope", Asks: "Slope of the roof", Section: "Roof", Form: `a slope, such as "6:12"`,
			Help:    "a level and a rule on the rafter",
			Applies: func(a draft.Answers) bool { return a["roof"] != "flat" },
			Check: func(answer string) error {
				if !strings.Contains(answer, ":") {
					return fmt.Errorf("%q is no slope", answer)
				}
				return nil
			}},
		{Name: "strings", Asks: "Modules in each string", Section: "System"},
	}
}

// asked runs an interview and gives the answers that count, those that are kept,
// and what was printed.
type asked struct {
	told, kept draft.Answers
	saves      int
	printed    string
	err        error
}

func run(t *testing.T, plain bool, in io.Reader, had draft.Answers, change func(*Options)) *asked {
	t.Helper()
	var out bytes.Buffer
	a := &asked{kept: draft.Answers{}}
	o := Options{In: in, Out: &out, Plain: plain, Writes: "job.toml", Questions: questions(),
		Save: func(answers draft.Answers) error {
			a.kept = maps.Clone(answers)
			a.saves++
			return nil
		},
		Check: func(draft.Answers) source.Faults { return nil },
	}
	if change != nil {
		change(&o)
	}
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	answers := draft.Answers{}
	maps.Copy(answers, had)
	a.told, a.err = Run(ctx, answers, o)
	a.printed = out.String()
	return a
}

// typed is what a person types: lines on a plain terminal, keys on a drawn one.
type typed struct{ plain, screen string }

const (
	down    = "\x1b[B"
	backtab = "\x1b[Z"
	erase   = "\x15" // to the beginning of the line
)

func TestRun(t *testing.T) {
	full := draft.Answers{"name": "Hill house", "units": "", "roof": "gable", "slope": "6:12", "strings": "11, 11"}
	for name, c := range map[string]struct {
		typed   typed
		had     draft.Answers
		options func(*Options)
		kept    draft.Answers
		told    draft.Answers // where it is not what is kept and says something
		err     error
		says    []string // on plain lines
	}{
		"all in order": {
			typed: typed{"Hill house\n\ngable\n6:12\n11, 11\n", "Hill house\r\r" + down + "\r6:12\r11, 11\r"},
			kept:  full,
			says:  []string{"Name of the job", "Slope of the roof", `a slope, such as "6:12"`, "a level and a rule on the rafter", `left open, "US" holds`}},
		"a word by its number": {
			typed: typed{plain: "Hill house\n\n1\n6:12\n11, 11\n"},
			kept:  full},
		"a question that does not apply": {
			typed: typed{"Hill house\nSI\nflat\n11, 11\n", "Hill house\r" + down + down + "\r" + down + down + "\r11, 11\r"},
			kept:  draft.Answers{"name": "Hill house", "units": "SI", "roof": "flat", "strings": "11, 11"}},
		"refused at the prompt": {
			typed: typed{"\nHill house\n\nhip\ngable\nsteep\n6:12\n\n", "\rHill house\r\r\r" + down + "\rsteep\r" + erase + "6:12\r\r"},
			kept:  draft.Answers{"name": "Hill house", "units": "", "roof": "gable", "slope": "6:12", "strings": ""},
			says:  []string{"the draft needs an answer", `"steep" is no slope`}},
		"back": {
			typed: typed{"Hill\n<\nHill house\n\ngable\n<\n<\n\n\n6:12\n11, 11\n",
				"Hill\r" + backtab + " house\r\r" + down + "\r" + backtab + backtab + "\r\r6:12\r11, 11\r"},
			kept: full},
		"nothing before the first": {
			typed: typed{"<\nHill house\n\ngable\n6:12\n11, 11\n", backtab + "Hill house\r\r" + down + "\r6:12\r11, 11\r"},
			kept:  full,
			says:  []string{"This is the first question."}},
		"an answer taken back": {
			typed: typed{"Hill house\n\ngable\n6:12\n<\n-\n11, 11\n", "Hill house\r\r" + down + "\r6:12\r" + backtab + erase + "\r11, 11\r"},
			kept:  draft.Answers{"name": "Hill house", "units": "", "roof": "gable", "slope": "", "strings": "11, 11"}},
		"ruled out since": {
			typed: typed{"Hill house\n\ngable\n6:12\n<\n<\nflat\n11, 11\n",
				"Hill house\r\r" + down + "\r6:12\r" + backtab + backtab + down + "\r11, 11\r"},
			kept: draft.Answers{"name": "Hill house", "units": "", "roof": "flat", "slope": "6:12", "strings": "11, 11"},
			told: draft.Answers{"name": "Hill house", "roof": "flat", "strings": "11, 11"}},
		"broken off": {
			typed: typed{"Hill house\n\n", "Hill house\r\r\x03"},
			kept:  draft.Answers{"name": "Hill house", "units": ""},
			err:   ErrInterrupted},
		"gone on with": {
			had:   draft.Answers{"name": "Hill house", "units": ""},
			typed: typed{"gable\n6:12\n11, 11\n", down + "\r6:12\r11, 11\r"},
			kept:  full},
		"gone on with in a gap": {
			had:   draft.Answers{"name": "Hill house", "units": "", "roof": "gable", "strings": "11, 11"},
			typed: typed{"6:12\n", "6:12\r"},
			kept:  full},
		"answered elsewhere": {
			had:     draft.Answers{"name": "Hill house", "roof": "gable"},
			options: func(o *Options) { o.Given = []string{"name", "roof"} },
			typed:   typed{"\n6:12\n11, 11\n", "\r6:12\r11, 11\r"},
			kept:    full},
		"all again": {
			had:     draft.Answers{"name": "Hill", "units": "SI", "roof": "flat", "strings": ""},
			options: func(o *Options) { o.Again = true },
			typed:   typed{"Hill house\n-\n1\n6:12\n11, 11\n", " house\r\x1b[A\x1b[A\r\x1b[A\r6:12\r11, 11\r"},
			kept:    full,
			says:    []string{"[Hill] >", "[flat] >"}},
		"against each other": {
			typed: typed{"Hill house\n\ngable\n6:12\n12\n11, 11\n", "Hill house\r\r" + down + "\r6:12\r12\r" + erase + "11, 11\r"},
			options: func(o *Options) {
				o.Check = func(a draft.Answers) source.Faults {
					if a["strings"] == "12" {
						return source.Faults{{Path: "strings", Message: "the arrays have 22"}}
					}
					return nil
				}
			},
			kept: full,
			says: []string{"the arrays have 22"}},
		"what no question mends": {
			had: full,
			options: func(o *Options) {
				o.Check = func(draft.Answers) source.Faults { return source.Faults{{Path: "equipment", Message: "no such file"}} }
			},
			kept: draft.Answers{},
			err:  source.Faults{{Path: "equipment", Message: "no such file"}}},
		"what cannot be printed": {
			typed: typed{plain: "Hill\x1b[2J\n" + strings.Repeat("x", 100_000) + "\nHill house\n\ngable\n6:12\n11, 11"},
			kept:  full,
			says: []string{
				"the answer has characters that cannot be printed",
				"1000 characters"}},
	} {
		for _, plain := range []bool{true, false} {
			keys, how := c.typed.plain, "plain"
			if !plain {
				keys, how = c.typed.screen, "drawn"
			}
			if keys == "" && c.err == nil {
				continue
			}
			t.Run(name+"/"+how, func(t *testing.T) {
				var in io.Reader = strings.NewReader(keys)
				if !plain {
					in = terminal(t, keys)
				}
				a := run(t, plain, in, c.had, c.options)
				if fmt.Sprint(a.err) != fmt.Sprint(c.err) {
					t.Fatalf("error %v, expected %v; it said\n%s", a.err, c.err, a.printed)
				}
				if !reflect.DeepEqual(a.kept, c.kept) {
					t.Errorf("kept %v, expected %v", a.kept, c.kept)
				}
				told := c.told
				if told == nil {
					told = c.kept.Said()
				}
				if c.err == nil && !reflect.DeepEqual(a.told, told) {
					t.Errorf("told %v, expected %v", a.told, told)
				}
				for _, want := range c.says {
					if plain && !strings.Contains(a.printed, want) {
						t.Errorf("%q is not in\n%s", want, a.printed)
					}
				}
			})
		}
	}
}

// terminal gives keys as a terminal does, one key at a time, and then nothing.
func terminal(t *testing.T, keys string) io.Reader {
	r, w := io.Pipe()
	go func() {
		for keys != "" {
			n := 1
			if strings.HasPrefix(keys, "\x1b[") {
				n = 3
			}
			if _, err := io.WriteString(w, keys[:n]); err != nil {
				return
			}
			keys = keys[n:]
		}
	}()
	t.Cleanup(func() { _ = w.Close() })
	return r
}

// Where an answer cannot be kept, the person is told at once and not at the end.
func TestRunStopsWhereNothingIsKept(t *testing.T) {
	full := errors.New("no room")
	a := run(t, true, strings.NewReader("Hill house\n\n"), draft.Answers{}, func(o *Options) {
		o.Save = func(draft.Answers) error { return full }
	})
	if !errors.Is(a.err, full) || strings.Contains(a.printed, "Units") {
		t.Errorf("ended with %v after\n%s", a.err, a.printed)
	}
}

// Every answer is kept before the next question is put, so that at any moment
// the interview can be broken off and gone on with, to the same answers.
func TestRunCanBeBrokenOffAnywhere(t *testing.T) {
	lines := []string{"Hill house\n", "SI\n", "gable\n", "6:12\n", "11, 11\n"}
	whole := run(t, true, strings.NewReader(strings.Join(lines, "")), draft.Answers{}, nil)
	if whole.err != nil || whole.saves != len(lines) {
		t.Fatalf("%d answers kept, %v", whole.saves, whole.err)
	}
	for n := 1; n < len(lines); n++ {
		first := run(t, true, strings.NewReader(strings.Join(lines[:n], "")), draft.Answers{}, nil)
		if !errors.Is(first.err, ErrInterrupted) {
			t.Errorf("after %d answers: %v", n, first.err)
		}
		second := run(t, true, strings.NewReader(strings.Join(lines[n:], "")), first.kept, nil)
		if second.err != nil || !reflect.DeepEqual(second.told, whole.told) {
			t.Errorf("broken off after %d answers it comes to %v, not %v (%v)", n, second.told, whole.told, second.err)
		}
	}
}

// An interrupt is heard while a line is waited for.
func TestRunIsInterrupted(t *testing.T) {
	r, w := io.Pipe()
	defer w.Close()
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, stop)
	_, err := Run(ctx, draft.Answers{}, Options{In: r, Out: io.Discard, Plain: true, Questions: questions()})
	if !errors.Is(err, ErrInterrupted) {
		t.Errorf("ended with %v", err)
	}
}

// key is a key as the terminal library tells of it.
func key(code rune, mod tea.KeyMod) tea.KeyPressMsg { return tea.KeyPressMsg{Code: code, Mod: mod} }

// What is drawn fits the terminal, and where that is low what is answered with
// is still there.
func TestScreen(t *testing.T) {
	list := questions()
	list[3].Help = strings.Repeat("a level and a rule on the rafter, ", 12)
	s := &screen{interview: begin(draft.Answers{}, Options{Writes: "job.toml", Questions: list,
		Save: func(draft.Answers) error { return nil },
		Check: func(a draft.Answers) source.Faults {
			return source.Faults{{Path: "slope", Message: "too steep"}}
		}})}
	s.next()
	say := func(text string) {
		for _, r := range text {
			s.Update(tea.KeyPressMsg{Code: r, Text: string(r)})
		}
	}
	shows := func(wants ...string) {
		t.Helper()
		view := ansi.Strip(s.View().Content)
		for _, want := range wants {
			if !strings.Contains(view, want) {
				t.Errorf("%q is not in\n%s", want, view)
			}
		}
		lines := strings.Split(view, "\n")
		if len(lines) > s.height {
			t.Errorf("%d lines on a terminal of %d:\n%s", len(lines), s.height, view)
		}
		for _, line := range lines {
			if n := ansi.StringWidth(line); n > s.width {
				t.Errorf("a line of %d on a terminal of %d:\n%s", n, s.width, line)
			}
		}
	}
	s.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	shows("job.toml: Job, 1 of 2", "Name of the job", "the draft needs it", "Ctrl+C: stop")
	s.Update(key(tea.KeyTab, tea.ModShift))
	shows("This is the first question.")
	s.Update(key(tea.KeyEnter, 0))
	shows("the draft needs an answer")
	say("Hill 大門")
	shows("> Hill 大門")
	s.Update(tea.WindowSizeMsg{Width: 50, Height: 15})
	shows("> Hill 大門")
	s.Update(key(tea.KeyEnter, 0))
	shows("Job, 2 of 2", "> leave it open (US)", "US", "SI", "Up, Down: choose")
	s.Update(key(tea.KeyEnter, 0))
	shows("Roof, 1 of 2", "> not chosen yet", "gable", "flat")
	s.Update(key(tea.KeyDown, 0))
	s.Update(key(tea.KeyEnter, 0))
	say("6:12")
	shows("Roof, 2 of 2", "> 6:12", "a level and a rule")
	s.Update(key(tea.KeyEnter, 0))
	s.Update(key(tea.KeyEnter, 0))
	shows("too steep", "> 6:12")
	s.Update(key('c', tea.ModCtrl))
	if !errors.Is(s.err, ErrInterrupted) || s.View().Content != "" {
		t.Errorf("it ends with %v and leaves %q", s.err, s.View().Content)
	}
}
