package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

func (p *program) newCheck() *cobra.Command {
	var only []string
	var output string
	c := &cobra.Command{
		Use:   "check JOB...",
		Short: "Review jobs and report what is outstanding",
		Long: "Reviews each job file and reports what is outstanding. One job gives one report; several give one report each,\n" +
			"in JSON one document with a list of reviews. If any input is wrong, every error is listed and nothing is written.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return wrong("check needs the name of at least one job file")
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	gate := addChoice(c, "gate", "the least severity that counts for the exit code",
		string(codebook.Correction), string(codebook.Verify), string(codebook.Advisory))
	format := addChoice(c, "format", "how the report is written", "text", "json")
	c.Flags().StringVar(&output, "output", "", "write the report to this `FILE`, whole or not at all")
	c.Flags().StringArrayVar(&only, "only", nil, "run this `CHECK` only; may be repeated")
	_ = c.RegisterFlagCompletionFunc("only", p.completeChecks)
	c.RunE = func(c *cobra.Command, args []string) error {
		reviews, err := p.reviewAll(args, only)
		if err != nil {
			return err
		}
		var out bytes.Buffer
		if err := write(&out, reviews, format.value, output == "" && p.colour); err != nil {
			return failed(err)
		}
		if output == "" {
			c.OutOrStdout().Write(out.Bytes())
		} else if err := writeFile(output, out.Bytes(), reviews); err != nil {
			return err
		}
		return verdict(reviews, codebook.Severity(gate.value))
	}
	return c
}

// reviewAll reviews every job, or gives every fault of every input.
func (p *program) reviewAll(paths, only []string) ([]*review.Review, error) {
	jobs := make([]*job.Job, len(paths))
	var book *codebook.Codebook
	var tables *table.Set
	errs := together(
		func() (err error) { book, err = p.loadBook(); return err },
		func() (err error) { tables, err = p.loadTables(); return err },
		func() error { return loadJobs(paths, jobs) },
	)
	if err := errors.Join(errs[:2]...); err != nil {
		return nil, err
	}
	jobsErr := errs[2]
	var faults source.Faults
	faults = append(faults, faultsOf(jobsErr)...)
	faults = append(faults, unknownChecks(only, book)...)
	if jobsErr != nil && len(faults) == 0 {
		return nil, failed(jobsErr)
	}
	slices.Sort(only) // the order of the report does not follow the command line
	only = slices.Compact(only)
	reviews := make([]*review.Review, len(paths))
	for i, j := range jobs {
		if j == nil {
			continue
		}
		r, err := review.Run(j, book, tables, review.Options{Only: only})
		switch {
		case errors.Is(err, review.ErrNothingRan):
			faults = append(faults, source.Fault{At: source.Span{File: &source.File{Name: paths[i]}}, Message: err.Error()})
		case err != nil:
			list := faultsOf(err)
			if len(list) == 0 {
				return nil, failed(err)
			}
			faults = append(faults, list...)
		}
		reviews[i] = r
	}
	if err := faults.Err(); err != nil {
		return nil, &exit{exitInput, err}
	}
	return reviews, nil
}

// together runs functions side by side and gives the error of each in its
// place. A panic in one becomes an error: it would otherwise end the process
// with a code that means something else.
func together(functions ...func() error) []error {
	errs := make([]error, len(functions))
	var wg sync.WaitGroup
	for i, f := range functions {
		wg.Go(func() {
			defer func() {
				if defect := recover(); defect != nil {
					errs[i] = failed(fmt.Errorf("defect: %v\n%s", defect, debug.Stack()))
				}
			}()
			errs[i] = f()
		})
	}
	wg.Wait()
	return errs
}

// loadJobs reads every job; the error is source.Faults with those of all.
func loadJobs(paths []string, jobs []*job.Job) error {
	var faults source.Faults
	for i, path := range paths {
		j, err := job.Load(path)
		if err == nil {
			jobs[i] = j
			continue
		}
		list := faultsOf(err)
		if len(list) == 0 {
			return fmt.Errorf("%s: %w", path, err)
		}
		faults = append(faults, list...)
	}
	return faults.Err()
}

func faultsOf(err error) source.Faults {
	var faults source.Faults
	errors.As(err, &faults)
	return faults
}

func unknownChecks(only []string, book *codebook.Codebook) (faults source.Faults) {
	for _, id := range only {
		if book.Check(id) == nil {
			faults = append(faults, source.Fault{Message: fmt.Sprintf("--only: there is no check %q%s", id, nearestCheck(id, book))})
		}
	}
	return faults
}

// nearestCheck suggests a check for a misspelt ID or for a name without its
// discipline.
func nearestCheck(id string, book *codebook.Codebook) string {
	names := make([]string, len(book.Checks))
	for i, c := range book.Checks {
		names[i] = strings.TrimPrefix(c.ID, c.Discipline+"/")
	}
	if name, ok := quantity.Nearest(id, names); ok && !strings.Contains(id, "/") {
		return fmt.Sprintf(", did you mean %q?", book.Checks[slices.Index(names, name)].ID)
	}
	return hint(id, book.IDs(), "plumbrule rules")
}

// write puts the reviews in one format.
func write(w io.Writer, reviews []*review.Review, format string, colour bool) error {
	if format == "json" {
		if len(reviews) == 1 {
			return report.JSON(w, reviews[0])
		}
		return report.JSONAll(w, reviews)
	}
	for i, r := range reviews {
		if i > 0 {
			fmt.Fprint(w, "\n\n")
		}
		if err := report.Text(w, r, report.TextOptions{Color: colour}); err != nil {
			return err
		}
	}
	return nil
}

// verdict is the exit code of a finished check.
func verdict(reviews []*review.Review, gate codebook.Severity) error {
	var defects []error
	outstanding := false
	for _, r := range reviews {
		for _, d := range r.Defects() {
			first, _, _ := strings.Cut(d, "\n")
			defects = append(defects, fmt.Errorf("defect in check %s", first))
		}
		outstanding = outstanding || r.Exceeds(gate)
	}
	switch {
	case len(defects) > 0:
		return failed(errors.Join(defects...))
	case outstanding:
		return &exit{code: exitOutstanding}
	}
	return nil
}
