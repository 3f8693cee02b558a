package cli

import (
	"context"
	"fmt"
	"io"
	"iter"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"plumbrule/internal/job"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/watch"
)

// watch reviews the jobs, and again whenever a file that was read is saved,
// until it is interrupted. It prints the report first and then what changed since
// the last review that there was. Its error is that of the last run. Each run
// reviews from nothing, rules included: with the checks compiled that takes about
// as long as the wait for the end of a save, and nothing has to be told apart.
func (p *program) watch(ctx context.Context, stderr io.Writer, jobs []string, targets []writer, o *checkFlags) error {
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	if slices.Contains(jobs, fromInput) {
		return wrong("--watch looks at files, and - is none")
	}
	if err := p.watchable(jobs, o); err != nil {
		return err
	}
	w, err := watch.New()
	if err != nil {
		return failed(err)
	}
	defer w.Close()
	var last []*review.Review
	for first := true; ; first = false {
		seen := watch.NewSeen(readWatched)
		o.allowed.begin()
		reviews, err := p.reviewSeen(seen, jobs, o)
		if err == nil {
			_, err = p.deliver(p.live, reviews[0].Book, targets, o, eachOf(reviews), p.news(last, reviews, o))
			if err != nil && first {
				return err // no saving of the job mends it
			}
		}
		if err == nil && o.output != "" {
			err = p.written(last, reviews, o.output)
		}
		if err == nil {
			v := verdict{gate: o.gateOf()}
			for _, r := range reviews {
				v.add(r)
			}
			last, err = reviews, v.end()
		}
		ended := exitOf(err)
		if ended.err != nil {
			complain(stderr, ended.err)
		}
		if first {
			fmt.Fprintf(p.live, "\nWatching %s; the interrupt key (Ctrl-C) ends it.\n", count(seen.Files(), "file"))
		}
		if w.Wait(ctx, seen) != nil {
			return &exit{code: ended.code} // whose message was given
		}
	}
}

// watchable refuses what no later saving of a file would mend: a job or a folder
// of rules that is not there, and checks that nobody has.
func (p *program) watchable(jobs []string, o *checkFlags) error {
	var faults source.Faults
	for _, path := range jobs {
		if _, err := os.Stat(path); err != nil {
			_, err = o.outside.load(path)
			faults = append(faults, faultsOf(err)...)
		}
	}
	for _, dir := range o.jurisdictions {
		if _, err := os.Stat(dir); err != nil {
			_, err = ruleFilesIn(dir)
			faults = append(faults, faultsOf(err)...)
		}
	}
	if err := faults.Err(); err != nil {
		return &exit{exitInput, err}
	}
	book, err := p.loadBook(o.jurisdictions...)
	if err != nil {
		return nil // a fault of a rule file, which may be mended
	}
	if _, unknown := checksNamed(o.only, book); len(unknown) > 0 {
		err := unknown.Err()
		return &exit{exitInput, err}
	}
	return nil
}

// reviewSeen reviews the jobs and notes every file that the review rests on.
func (p *program) reviewSeen(seen *watch.Seen, jobs []string, o *checkFlags) ([]*review.Review, error) {
	for _, dir := range o.jurisdictions {
		seen.Folder(dir, ".toml")
		folders, _ := filepath.Glob(filepath.Join(dir, "*")) // the pattern is right; a folder that cannot be read is told of below
		for _, folder := range folders {
			if info, err := os.Stat(folder); err == nil && info.IsDir() {
				seen.Folder(folder, ".toml")
			}
		}
		files, _ := ruleFilesIn(dir)
		for _, file := range files {
			_, _ = seen.Read(file)
		}
	}
	o.office.open = seen.Read
	return p.reviewAll(jobs, func(path string) (*job.Job, error) {
		tree, err := job.LoadConfined(path, o.outside, seen.Read)
		if err != nil {
			return nil, err
		}
		return tree.Job()
	}, o)
}

// readWatched reads what a job names; of a folder the TOML files alone, since
// other names come and go there while a file is edited.
func readWatched(path string) ([]byte, error) {
	text, err := job.ReadFile(path)
	if !strings.HasSuffix(path, "/") {
		return text, err
	}
	var names []byte
	for name := range strings.Lines(string(text)) {
		if strings.EqualFold(filepath.Ext(strings.TrimSpace(name)), ".toml") && !strings.HasPrefix(name, ".") {
			names = append(names, name...)
		}
	}
	return names, err
}

// news is what is told of a run: the report, or on the terminal what changed
// since the last.
func (p *program) news(last, reviews []*review.Review, o *checkFlags) func(io.Writer, iter.Seq[*review.Review]) error {
	if o.output != "" || last == nil {
		return p.reporter(o)
	}
	changes := p.changes(last, reviews)
	return func(w io.Writer, _ iter.Seq[*review.Review]) error { return changes(w) }
}

// eachOf gives reviews that there are already, one after the other.
func eachOf(reviews []*review.Review) func(give func(*review.Review) error) error {
	return func(give func(*review.Review) error) error {
		for _, r := range reviews {
			if err := give(r); err != nil {
				return err
			}
		}
		return nil
	}
}

// written says on the terminal what a run brought whose report went to a file.
func (p *program) written(last, reviews []*review.Review, output string) error {
	if last != nil {
		return p.changes(last, reviews)(p.live)
	}
	fmt.Fprintf(p.live, "The report is written to %s.\n", visible(output))
	return nil
}

// changes writes what differs between two runs, job by job.
func (p *program) changes(last, reviews []*review.Review) func(io.Writer) error {
	return func(w io.Writer) error {
		any := false
		for i, r := range reviews {
			c := review.Compare(last[i], r)
			if c.Same() {
				continue
			}
			any = true
			fmt.Fprintln(w)
			if err := report.Changes(w, r, c, report.TextOptions{Color: p.colour}); err != nil {
				return err
			}
		}
		if !any {
			fmt.Fprintln(w, "\nNothing changed.")
		}
		return nil
	}
}
