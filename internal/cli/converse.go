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
	answers := draft.Answers{}
	if o.answers != "" {
		kept, err := readAnswers(o.answers)
		if err != nil && !(interactive && errors.Is(err, os.ErrNotExist)) {
			return answersError(o.answers, err)
		}
		maps.Copy(answers, kept)
	}
	maps.Copy(answers, given)
	if !o.ask && (!interactive || len(o.files.files) > 0 || !lacks(answers)) {
		return p.draft(c.OutOrStdout(), answers.Said(), o)
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
		kept, err := readAnswers(file)
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return answersError(file, err)
		}
		maps.Copy(answers, kept)
		maps.Copy(answers, given)
	}
	answers, err := p.terminal(c).interview(ctx, answers, given, file, o)
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
func (t dialogue) interview(ctx context.Context, answers, given draft.Answers, path string, o *draftFlags) (draft.Answers, error) {
	t.Questions, t.Writes = draft.Questions(), o.output
	t.Given = slices.Collect(maps.Keys(given))
	t.Again = o.ask
	t.Save = func(a draft.Answers) error {
		return put(product{"--answers", path, file{"--answers", path, all(a.TOML())}.create})
	}
	t.Check = func(a draft.Answers) source.Faults {
		_, err := draft.New(a)
		return faultsOf(err)
	}
	told, err := ask.Run(ctx, answers, t.Options)
	if faults := faultsOf(err); len(faults) > 0 {
		return nil, &exit{exitInput, faults}
	}
	return told, err
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

func answersError(path string, err error) error {
	if list := faultsOf(err); len(list) > 0 {
		return &exit{exitInput, list}
	}
	if errors.Is(err, os.ErrNotExist) {
		return wrong("--answers %s: there is no such file", path)
	}
	return wrong("--answers %s: the file cannot be read", path)
}

// isTerminal tells whether a stream is a terminal.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && (isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd()))
}
