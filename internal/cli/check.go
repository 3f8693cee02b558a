package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/paper"
	"plumbrule/internal/parallel"
	"plumbrule/internal/quantity"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// checkFlags is what the command line of check asks for.
type checkFlags struct {
	gate, format  *choice
	output, date  string
	writes, only  []string
	jurisdictions []string
	missing       bool
	all           bool // every outcome, in what machines read
	watch         bool
	letter        letterFlags
	adopt         adoptFlags
	office        officeFlags
	allowed       allowance
	outside       outside
	gathered
}

// gateOf is the gate of the command line.
func (o *checkFlags) gateOf() review.Gate {
	return review.Gates[slices.IndexFunc(review.Gates, func(g review.Gate) bool { return g.String() == o.gate.value })]
}

func (p *program) newCheck() *cobra.Command {
	var o checkFlags
	c := &cobra.Command{
		Use:   "check JOB|DIR|-...",
		Short: "Review jobs and report what is outstanding",
		Long: "Reviews each job file and reports what is outstanding. One job gives one report; several give one report each,\n" +
			"in JSON one document with a list of reviews, and a table of them all at the end. If any input is wrong, every error\n" +
			"of every job is listed and nothing is written.\n\n" +
			"Of a folder all jobs in it and below are reviewed, in the order of their paths. What is no job by its content (files that\n" +
			"others include, equipment, packs, rules, deviations, lists) is passed over and named in the report. With - a job is read\n" +
			"from standard input; what it includes stands beside the working directory.\n\n" +
			"--write makes further files from the same review, each by its ending:\n" + strings.TrimSuffix(endings(), "\n"),
		Example: "  plumbrule check job.toml\n" +
			"  plumbrule check --write review.json --write review.sarif job.toml\n" +
			"  plumbrule check --write review.sarif jobs/",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return wrong("check needs the name of at least one job file")
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	o.add(c, p, "text", "full", "json", "toml")
	c.Flags().BoolVar(&o.missing, "missing", false, "list what the job leaves out instead, by how many outcomes wait for it; --format toml makes it a block to paste")
	c.Flags().BoolVar(&o.watch, "watch", false, "review again whenever a file of the job is saved, and print what changed; files of --output and --write are made anew")
	c.Flags().StringArrayVar(&o.only, "only", nil, "run this `CHECK` only, or all checks of this discipline; may be repeated")
	o.office.addStanding(c)
	_ = c.RegisterFlagCompletionFunc("only", p.completeChecks)
	c.RunE = func(c *cobra.Command, args []string) error {
		jobs, err := o.gather(args, c.InOrStdin())
		if err != nil {
			return err
		}
		targets, err := o.targets(jobs)
		if err != nil {
			return err
		}
		if o.watch {
			return p.watch(c.Context(), c.ErrOrStderr(), jobs, targets, &o)
		}
		return p.check(c.OutOrStdout(), c.ErrOrStderr(), jobs, targets, &o)
	}
	return c
}

// add gives a command the flags of every review: how it is reported, and what it
// is held against. words are the formats of the report.
func (o *checkFlags) add(c *cobra.Command, p *program, words ...string) {
	gates := make([]string, len(review.Gates))
	for i, g := range review.Gates {
		gates[i] = g.String()
	}
	o.gate = addChoice(c, "gate", "the least severity that counts for the exit code; with :not-met what is undetermined does not count", gates...)
	usage := "how the report is written: text on one screen, full with every comment in full"
	if slices.Contains(words, "toml") {
		usage += "; toml: with --missing"
	}
	o.format = addChoice(c, "format", usage, words...)
	c.Flags().StringVar(&o.output, "output", "", "write the report to this `FILE`, whole or not at all")
	c.Flags().StringArrayVar(&o.writes, "write", nil, "write this `FILE` too, in the format of its ending; may be repeated")
	o.letter.add(c)
	o.adopt.add(c, p)
	o.allowed.add(c)
	o.outside.add(c)
	c.Flags().StringVar(&o.date, "date", "", "the `DATE` of the review: it is printed on the letter, and ends of deviations are held against it; without it no report bears a date")
	c.Flags().BoolVar(&o.all, "all", false, "write every outcome to .json, .sarif and .csv, instead of what is outstanding")
	addRules(c, &o.jurisdictions)
	o.office.addLeave(c)
}

// targets finds the writers of the files of --write, and refuses flags that do
// not go together.
func (o *checkFlags) targets(jobs []string) ([]writer, error) {
	o.many = len(jobs) > 1
	targets := make([]writer, len(o.writes))
	for i, path := range o.writes {
		var err error
		if targets[i], err = writerFor(path, len(jobs)); err != nil {
			return nil, err
		}
	}
	data := o.format.value == "toml" || o.format.value == "json"
	switch {
	case o.format.value == "toml" && !o.missing:
		return nil, wrong("--format toml writes what a job leaves out and goes with --missing")
	case o.watch && data && o.output == "":
		return nil, wrong("--watch prints what changed in words; --format %s with it needs a file: --output FILE", o.format.value)
	}
	if o.all && o.format.value != "json" && !slices.ContainsFunc(targets, func(w writer) bool { return w.all }) {
		return nil, wrong("--all puts every outcome into --format json and --write FILE that ends in %s; none of them is asked for", strings.Join(endingsOfAll(), ", "))
	}
	if err := o.adopt.read(o.date); err != nil {
		return nil, err
	}
	if err := o.office.together(len(jobs), len(o.only) > 0, o.watch); err != nil {
		return nil, err
	}
	if err := o.letter.read(targets); err != nil {
		return nil, err
	}
	if err := o.allowed.wanting(); err != nil {
		return nil, err
	}
	if err := o.outside.wanting(); err != nil {
		return nil, err
	}
	o.allowed.begin()
	var products []product
	for _, f := range o.files(make([]func(io.Writer) error, len(o.writes)), nil, nil) {
		products = append(products, f.product())
	}
	return targets, mayWrite(products, append(append(slices.Clone(jobs), o.letter.templates...), o.office.inputs()...))
}

// files are those that the flags ask for, with what writes those of --write, the
// one of --output and the standing list.
func (o *checkFlags) files(writes []func(io.Writer) error, output, standing func(io.Writer) error) (files []file) {
	if o.office.writeStanding != "" {
		files = append(files, file{"--write-standing", o.office.writeStanding, standing})
	}
	if o.output != "" {
		files = append(files, file{"--output", o.output, output})
	}
	for i, path := range o.writes {
		files = append(files, file{"--write", path, writes[i]})
	}
	return files
}

// globbed is a name as a pattern that matches nothing else.
var globbed = strings.NewReplacer(`*`, `[*]`, `?`, `[?]`, `[`, `[[]`).Replace

// check reviews the jobs once and writes every report from that.
func (p *program) check(out, told io.Writer, jobs []string, targets []writer, o *checkFlags) error {
	d, faults, err := p.newDesk(o)
	if err != nil {
		return err
	}
	var book *codebook.Codebook
	if d != nil {
		d.brief = !o.missing && !o.all && d.office.earlier == nil && !slices.ContainsFunc(targets, func(w writer) bool { return !w.outstanding })
		book = d.force.Book
		if e := d.office.earlier; e != nil && !o.office.rounded { // before the letter is begun
			o.letter.round = e.Round + 1
		}
	}
	progress := newProgress(told, len(jobs))
	defer progress.end()
	v, err := p.deliver(out, book, targets, o, func(give func(*review.Review) error) error {
		return p.reviewEach(d, faults, jobs, o.load, o, func(r *review.Review) error {
			progress.step()
			return give(r)
		})
	}, p.reporter(o))
	if err != nil {
		return err
	}
	return v.end()
}

// reporter writes the report that the flags ask for.
func (p *program) reporter(o *checkFlags) func(io.Writer, iter.Seq[*review.Review]) error {
	return func(w io.Writer, reviews iter.Seq[*review.Review]) error {
		if o.format.value == "json" {
			return report.JSON(w, reviews, o.data())
		}
		text := report.TextOptions{Color: o.output == "" && p.colour, Full: o.format.value == "full", Version: shortVersion(), Again: o.again()}
		summary := report.NewSummary(o.gateOf())
		err := writeText(w, reviews, func(w io.Writer, r *review.Review) error {
			summary.Add(r)
			if !o.missing {
				return report.Text(w, r, text)
			}
			ahead, err := r.Ahead()
			switch {
			case err != nil:
				return err
			case o.format.value == "toml":
				return report.MissingTOML(w, r, ahead, shortVersion())
			}
			return report.Missing(w, r, ahead, text)
		})
		if err != nil || !o.many || o.missing {
			return err
		}
		return summary.Write(w, o.passed, text)
	}
}

// deliver writes a report to the file of --output, or else to out, and the files
// of --write, while the reviews are made: all of them or none.
func (p *program) deliver(out io.Writer, book *codebook.Codebook, targets []writer, o *checkFlags, make func(give func(*review.Review) error) error, report func(io.Writer, iter.Seq[*review.Review]) error) (*verdict, error) {
	var with options
	if book != nil { // else nothing will be written
		paper, err := p.paper(book, o)
		if err != nil {
			return nil, err
		}
		with = options{paper, o.data()}
	}
	f := newFeed(o.gateOf())
	defer f.stop()
	writer := func(write func(io.Writer, iter.Seq[*review.Review]) error) func(io.Writer) error {
		return o.allowed.writer(f.writer(write))
	}
	writes := []func(io.Writer) error{}
	for _, t := range targets {
		writes = append(writes, writer(func(w io.Writer, reviews iter.Seq[*review.Review]) error { return t.write(w, reviews, with) }))
	}
	shown, tell := bytes.Buffer{}, writer(report)
	var standing func(io.Writer) error
	if o.office.writeStanding != "" {
		standing = writer(o.office.list)
	}
	var products []product
	for _, file := range o.files(writes, tell, standing) {
		products = append(products, file.product().orElse(f.stop))
	}
	told := func() error { return nil }
	if o.output == "" {
		ended := goOff(func() error {
			err := tell(&shown)
			if err != nil {
				f.stop()
			}
			return err
		})
		told = func() error { return <-ended }
	}
	go f.run(make)
	err := putOnce(func() ([]string, error) {
		if err := told(); err != nil {
			return nil, defect(err)
		}
		return append(o.read(), f.read...), nil
	}, products...)
	if err != nil {
		return nil, err
	}
	if _, err := shown.WriteTo(out); err != nil {
		return nil, failed(err)
	}
	return &f.verdict, nil
}

// data is how the flags have a review written for machines.
func (o *checkFlags) data() report.Options {
	return report.Options{All: o.all, Gate: o.gateOf(), Version: buildVersion(), Many: o.many}
}

// paper is what the papers show besides the review. The scope is read only for
// files that may need it.
func (p *program) paper(book *codebook.Codebook, o *checkFlags) (paper.Options, error) {
	paper := paper.Options{Version: shortVersion(), Date: o.date}
	o.letter.put(&paper)
	if len(o.writes) == 0 {
		return paper, nil
	}
	var err error
	if paper.Scope, err = book.Scope(p.rules); err != nil {
		return paper, failed(err)
	}
	return paper, nil
}

// together runs functions side by side and gives the error of each in its
// place. A panic in one becomes an error: it would otherwise end the process
// with a code that means something else.
func together(functions ...func() error) []error {
	errs := make([]error, len(functions))
	parallel.Each(len(functions), func(i int) {
		defer func() {
			if defect := recover(); defect != nil {
				errs[i] = failed(fmt.Errorf("defect: %v\n%s", defect, debug.Stack()))
			}
		}()
		errs[i] = functions[i]()
	})
	return errs
}

// defects picks the errors that are the tool's own.
func defects(errs []error) (out []error) {
	for _, err := range errs {
		var e *exit
		if errors.As(err, &e) && e.code == exitInput {
			continue
		}
		out = append(out, err)
	}
	return out
}

func faultsOf(err error) source.Faults {
	var faults source.Faults
	errors.As(err, &faults)
	return faults
}

// checksNamed gives the checks that --only names, by their IDs or by their discipline,
// in the order of the book; nil where it names none.
func checksNamed(only []string, book *codebook.Codebook) (ids []string, faults source.Faults) {
	for _, c := range book.Checks {
		if slices.Contains(only, c.ID) || slices.Contains(only, c.Discipline) {
			ids = append(ids, c.ID)
		}
	}
	for _, word := range only {
		if book.Check(word) == nil && len(checksOf(word, book)) == 0 {
			faults = append(faults, source.Fault{Message: fmt.Sprintf("--only: there is no check %q%s", word, nearestCheck(word, book))})
		}
	}
	return ids, faults
}

// checksOf lists the checks of a discipline.
func checksOf(discipline string, book *codebook.Codebook) []*codebook.Check {
	var out []*codebook.Check
	for _, c := range book.Checks {
		if c.Discipline == discipline {
			out = append(out, c)
		}
	}
	return out
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
	known := book.IDs()
	for _, c := range book.Checks {
		known = append(known, c.Discipline)
	}
	return hint(id, known, "plumbrule rules")
}

// add takes a review into account.
func (v *verdict) add(r *review.Review) {
	for _, d := range r.Defects() {
		first, _, _ := strings.Cut(d, "\n")
		v.broken = append(v.broken, fmt.Errorf("defect in check %s", first))
	}
	v.outstanding = v.outstanding || r.Exceeds(v.gate)
}

// end is the error that a finished check ends with.
func (v *verdict) end() error {
	switch {
	case len(v.broken) > 0:
		return failed(errors.Join(v.broken...))
	case v.outstanding:
		return &exit{code: exitOutstanding}
	}
	return nil
}
