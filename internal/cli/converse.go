package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"syscall"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"plumbrule/internal/ask"
	"plumbrule/internal/draft"
	"plumbrule/internal/source"
)

// converse writes the job of a draft, from the answers of the flags, of a file,
// and of the person at the terminal.
func (p *program) converse(c *cobra.Command, given draft.Answers, o *draftFlags) error {
	if o.ask && len(o.files.files) > 0 {
		return wrong("--ask and --from do not go together: what the files hold need not be asked; say the rest with flags or --answers")
	}
	interactive := o.ask || isTerminal(c.InOrStdin())
	kept, habits, err := o.kept(interactive)
	if err != nil {
		return err
	}
	if _, roof := given.With(kept)["roof"]; len(o.files.files) > 0 && !roof {
		habits = habits.Beginning()
	}
	answers := given.With(kept).With(habits)
	if !o.ask && (!interactive || len(o.files.files) > 0 || !lacks(answers)) {
		return p.draft(c.OutOrStdout(), answers, o)
	}
	if err := faultsOfGiven(given).Err(); err != nil {
		return &exit{exitInput, err}
	}
	ctx, stop := signal.NotifyContext(c.Context(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if o.output == "" {
		o.output = "job.toml"
	}
	if faults := o.outputFaults(); len(faults) > 0 {
		return &exit{exitInput, faults}
	}
	file := o.answers
	if file == "" {
		file = o.output + ".answers"
		kept, err = readAnswers(file)
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return answersError("--answers", file, err)
		}
	}
	for _, path := range []string{file, o.output} { // before anything is asked
		if err := mayWrite([]product{{flag: "--answers, --output", path: path}}, o.practice); err != nil {
			return err
		}
	}
	answers, err = p.terminal(c).interview(ctx, known{given, kept, habits}, file, o)
	if err == nil {
		err = p.draft(c.OutOrStdout(), answers, o)
	}
	if err != nil {
		tellHowToGoOn(c.ErrOrStderr(), file, o)
		if errors.Is(err, ask.ErrInterrupted) {
			return &exit{code: exitOutstanding}
		}
		return err
	}
	if o.answers == "" {
		_ = os.Remove(file) // the job is written; what is left over harms nobody
	}
	return nil
}

// kept reads the answers of files: those kept for this job, and the habits of a
// firm. A file of answers that is not there is begun where a person is asked.
func (o *draftFlags) kept(begun bool) (kept, habits draft.Answers, err error) {
	if o.answers != "" {
		kept, err = readAnswers(o.answers)
		if err != nil && !(begun && errors.Is(err, os.ErrNotExist)) {
			return nil, nil, answersError("--answers", o.answers, err)
		}
	}
	habits = draft.Answers{}
	for _, path := range o.practice {
		one, err := readAnswers(path)
		if err != nil {
			return nil, nil, answersError("--practice", path, err)
		}
		for name, answer := range one.Said() {
			if _, before := habits[name]; !before {
				habits[name] = answer
			}
		}
	}
	return kept, habits, nil
}

// known are the answers before the first question: of the flags, of the file that
// keeps those of this job, and the habits of a firm.
type known struct{ given, kept, habits draft.Answers }

// dialogue is where questions are put.
type dialogue struct{ ask.Options }

// terminal finds where and how questions are put: on standard error, so that
// what the command prints may go elsewhere, unless that itself does.
func (p *program) terminal(c *cobra.Command) dialogue {
	in, out := c.InOrStdin(), c.ErrOrStderr()
	if !isTerminal(out) && isTerminal(p.live) {
		out = p.live
	}
	drawn := isTerminal(in) && isTerminal(out) && os.Getenv("TERM") != "dumb" && os.Getenv("NO_COLOR") == "" && os.Getenv("ACCESSIBLE") == ""
	return dialogue{ask.Options{In: in, Out: out, Plain: !drawn}}
}

// interview asks what is not answered yet, keeps each answer in a file, and gives
// the answers that count.
func (t dialogue) interview(ctx context.Context, k known, path string, o *draftFlags) (draft.Answers, error) {
	answers := k.habits.Said()
	for _, more := range []draft.Answers{k.kept, k.given} { // what was left open too
		maps.Copy(answers, more)
	}
	t.Questions, t.Writes = draft.Interview(), o.output
	t.Given = slices.Concat(slices.Collect(maps.Keys(k.given)), slices.Collect(maps.Keys(k.habits.Said())))
	t.Again = o.ask
	t.Save = func(a draft.Answers) error {
		return put(append(slices.Clone(o.practice), o.output), file{"--answers", path, all(a.TOML())}.product())
	}
	t.Check = func(a draft.Answers) source.Faults {
		_, err := draft.New(k.given.With(a))
		return faultsOf(err)
	}
	told, err := ask.Run(ctx, answers, t.Options)
	if faults := faultsOf(err); len(faults) > 0 {
		return nil, &exit{exitInput, faults}
	}
	return k.given.With(told), err
}

// tellHowToGoOn says what the answers that are kept are good for.
func tellHowToGoOn(w io.Writer, path string, o *draftFlags) {
	kept, err := readAnswers(path)
	if err != nil {
		fmt.Fprintln(w, "plumbrule: nothing was written and no answer was given")
		return
	}
	from := ""
	if o.answers != "" {
		from = " --answers " + shellWord(visible(path))
	}
	fmt.Fprintf(w, "plumbrule: the job is not written; the answers so far are kept in %s. To go on:\n    plumbrule draft%s --ask --output %s\n", visible(path), from, shellWord(visible(o.output)))
	if !lacks(kept) {
		fmt.Fprintf(w, "Nothing that a draft needs is left out. To write it from the answers so far:\n    plumbrule draft --answers %s --output %s\n", shellWord(visible(path)), shellWord(visible(o.output)))
	}
}

// lacks tells whether a question that a draft needs an answer to has none.
func lacks(a draft.Answers) bool {
	said := a.Said()
	return slices.ContainsFunc(draft.Questions(), func(q *draft.Question) bool {
		_, given := said[q.Name]
		return q.Required && !given && q.Asked(said)
	})
}

// faultsOfGiven says what is wrong with single answers of the flags.
func faultsOfGiven(given draft.Answers) (faults source.Faults) {
	for _, q := range draft.Questions() {
		if answer, ok := given[q.Name]; ok {
			if err := q.Fault(answer); err != nil {
				faults = append(faults, source.Fault{Path: q.Name, Message: "--" + q.Name + ": " + err.Error()})
			}
		}
	}
	return faults
}

// readAnswers reads a file of answers. The error is source.Faults, or that of the
// system where there is no such file.
func readAnswers(path string) (draft.Answers, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return draft.ReadAnswers(source.NewFile(filepath.ToSlash(path), text))
}

func answersError(flag, path string, err error) error {
	if list := faultsOf(err); len(list) > 0 {
		return &exit{exitInput, list}
	}
	if errors.Is(err, os.ErrNotExist) {
		return wrong("%s %s: there is no such file", flag, path)
	}
	return wrong("%s %s: the file cannot be read", flag, path)
}

// isTerminal tells whether a stream is a terminal.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && (isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd()))
}
