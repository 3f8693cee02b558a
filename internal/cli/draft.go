package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"plumbrule/internal/draft"
	"plumbrule/internal/draft/from"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// draftFlags is what the command line of draft asks for besides its questions.
type draftFlags struct {
	output   string
	answers  string
	practice []string
	replace  bool
	ask      bool
	files    filesFlags
}

func (p *program) newDraft() *cobra.Command {
	var o draftFlags
	answers := draft.Answers{}
	c := &cobra.Command{
		Use:   "draft [--output FILE]",
		Short: "Write a job to begin with, from a few answers",
		Long: "Writes a job that already reviews: roof planes from the dimensions of the roof, arrays by their setbacks, strings,\n" +
			"circuits and devices wired by name. Nothing is made up: what was not said stands behind a #, with what it means\n" +
			"and where a person finds it.\n\n" +
			"On a terminal it first asks for the twenty things that shape the job and are not said by flags; the rest follows\n" +
			"section by section where that is wanted, and stays open where it is not. It asks on plain lines where TERM is dumb\n" +
			"or NO_COLOR or ACCESSIBLE is set. Each answer is kept in a file beside the output until the job is written: the\n" +
			"same command goes on from there.\n\n" +
			"What a firm does alike in all its jobs, and what holds in a town, is written once in files for --practice, a line\n" +
			"for each flag: wind-speed = \"105 mph\".\n\n" +
			"--from takes files at hand: schedules of modules, feet, circuits or any list of a job as CSV, outlines of roof\n" +
			"planes as GeoJSON or DXF (plumbrule guide draft). Without --roof the roof and the system are those of the files.",
		Example: "  plumbrule draft --name \"Hill house\" --building dwelling --roof gable --length \"40 ft\" --width \"28 ft\" \\\n" +
			"    --slope 6:12 --eave-height \"9 ft\" --front south --array \"front: 2 x 8 portrait, 18 in below ridge\" \\\n" +
			"    --scheme micro --branches \"8, 8\" --output job.toml",
		Args: noNames,
	}
	for _, q := range draft.Questions() {
		c.Flags().Var(&answer{q, answers}, q.Name, usageOf(q))
		if len(q.Words) > 0 {
			// The error can only say that the flag does not exist or is registered
			// twice; the line above and the tests rule both out.
			_ = c.RegisterFlagCompletionFunc(q.Name, cobra.FixedCompletions(q.Words, cobra.ShellCompDirectiveNoFileComp))
		}
	}
	c.Flags().SortFlags = false
	o.files.add(c)
	c.Flags().StringVar(&o.output, "output", "", "write the job to this `FILE`, whole or not at all; where it asks, job.toml unless this is given")
	c.Flags().StringArrayVar(&o.practice, "practice", nil, "answers of a firm or a town from a `FILE` that is only read: what the flags and --answers leave out is taken from it, where it applies (may be given several times; the first that answers counts)")
	c.Flags().BoolVar(&o.replace, "replace", false, "write over a file that is there")
	c.Flags().BoolVar(&o.ask, "ask", false, "ask on the terminal, or on lines of the standard input, even where nothing that is needed is left out")
	c.Flags().StringVar(&o.answers, "answers", "", "take answers from this `FILE` too, and keep in it those that are asked for")
	c.SetUsageFunc(draftUsage)
	c.RunE = func(c *cobra.Command, _ []string) error { return p.converse(c, answers, &o) }
	return c
}

// answer is the flag of one question.
type answer struct {
	question *draft.Question
	all      draft.Answers
}

func (a *answer) String() string { return "" }
func (a *answer) Type() string   { return takes(a.question) }

// Set takes an answer. What is wrong with it is said with all other faults.
func (a *answer) Set(text string) error {
	if before, twice := a.all[a.question.Name]; twice {
		if !a.question.Many {
			return errors.New("given twice")
		}
		text = before + "; " + text
	}
	a.all[a.question.Name] = text
	return nil
}

// draft writes the job of a set of answers.
func (p *program) draft(out io.Writer, a draft.Answers, o *draftFlags) error {
	faults := o.outputFaults()
	d, read, err := draftFrom(a, &o.files, o.output)
	if faults = append(faults, faultsOf(err)...); len(faults) > 0 {
		return &exit{exitInput, faults}
	}
	text, beside, err := p.complete(d, read, o.output)
	if err != nil {
		return err
	}
	if err := put(slices.Concat(o.read(), beside), file{"--output", o.output, all(text)}.product()); err != nil {
		return err
	}
	if read != nil {
		for _, note := range read.Notes {
			fmt.Fprintln(out, visible(note))
		}
	}
	fmt.Fprintf(out, "%s\n", d.Summary(o.output))
	return nil
}

// outputFaults says what is wrong with where the job is to be written.
func (o *draftFlags) outputFaults() source.Faults {
	var f source.Fault
	switch _, err := os.Lstat(o.output); {
	case o.output == "":
		f = source.Fault{Message: "--output: is left out", Expected: "the name of the file to write is expected"}
	case err == nil && !o.replace:
		f = source.Fault{Message: "--output " + o.output + ": there is such a file", Expected: "another name is expected, or --replace"}
	case errors.Is(err, fs.ErrNotExist) && !isFolder(filepath.Dir(o.output)):
		f = source.Fault{Message: "--output " + o.output + ": there is no such folder to write it in", Expected: "a folder that is there is expected"}
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		f = source.Fault{Message: "--output " + o.output + ": " + err.Error()}
	default:
		return nil
	}
	return source.Faults{f}
}

// read lists the files that the answers and the tables of a draft come from.
func (o *draftFlags) read() []string {
	read := slices.Clone(o.practice)
	if o.answers != "" {
		read = append(read, o.answers)
	}
	for _, given := range o.files.files {
		_, name := from.Named(given)
		read = append(read, name)
	}
	return read
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// complete leaves open in a draft what its review asks for, and gives its text
// and the files that were read beside it.
func (p *program) complete(d *draft.Document, read *from.Reading, output string) (text []byte, beside []string, err error) {
	book, err := p.loadBook()
	if err != nil {
		return nil, nil, err
	}
	tables, err := p.loadTables()
	if err != nil {
		return nil, nil, err
	}
	if err := d.Beside(filepath.Dir(output)); err != nil {
		return nil, nil, wrong("--equipment: %w", err)
	}
	text = d.TOML()
	err = d.Leave(output, func(j *job.Job) (*review.Review, error) {
		beside = nil
		for _, f := range j.Files[1:] { // the first is the job itself
			beside = append(beside, f.Name)
		}
		return review.Run(j, book, tables, review.Options{})
	}, func(s *job.Slot) ([]string, string) { return []string{wording.MeansAndWhere(s)}, wording.Form(s) })
	if err != nil {
		list := faultsOf(err)
		if len(list) == 0 {
			return nil, nil, failed(err)
		}
		if read != nil {
			list = from.Placed(output, text, d, list)
		}
		for i := range list {
			if f := &list[i]; f.At.File != nil && f.At.File.Name == filepath.ToSlash(output) { // which is not written
				f.At, f.Also, f.Message = source.Span{}, nil, "the answers make no job: "+f.Message
			}
		}
		return nil, nil, &exit{exitInput, list}
	}
	return d.TOML(), beside, nil
}
