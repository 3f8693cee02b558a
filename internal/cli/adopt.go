package cli

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"plumbrule/internal/adoption"
	"plumbrule/internal/codebook"
	"plumbrule/internal/proof"
	"plumbrule/internal/report"
	"plumbrule/internal/wording"
)

// adoptFlags are the flags of the authority's word.
type adoptFlags struct {
	pack    string
	applied string // as 2026-01-31; "" for none
	ruleSet int
	flags   *pflag.FlagSet // of the command, which know what was given
}

func (a *adoptFlags) add(c *cobra.Command, p *program) {
	a.flags = c.Flags()
	c.Flags().StringVar(&a.pack, "adopt", "", "review under the adoption of this authority: the `NAME` of a pack that comes with the program, or a file")
	c.Flags().StringVar(&a.applied, "applied", "", "date of the application, as 2026-01-31, by which editions and amendments of --adopt are in force; --date where it is left out")
	c.Flags().IntVar(&a.ruleSet, "rule-set", 0, "hold to this `VERSION` of the rule set, and leave out checks that came later")
	_ = c.RegisterFlagCompletionFunc("adopt", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return adoption.Names(p.rules), cobra.ShellCompDirectiveDefault
	})
}

// read refuses flags of which nothing would come; date is that of --date.
func (a *adoptFlags) read(date string) error {
	switch {
	case a.pack == "" && a.flags.Changed("adopt"):
		return wrong("--adopt needs the name of a pack or a file")
	case a.ruleSet == 0 && a.flags.Changed("rule-set"):
		return wrong("--rule-set 0: versions are counted from 1")
	case a.applied == "" && a.flags.Changed("applied"):
		return wrong("--applied \"\": a date is expected, such as 2026-01-31")
	case a.applied != "" && a.pack == "":
		return wrong("--applied says by which date --adopt is in force and goes with it")
	case a.ruleSet < 0:
		return wrong("--rule-set %d: versions are counted from 1", a.ruleSet)
	case a.applied == "" && a.pack != "":
		if _, err := time.Parse(time.DateOnly, date); err == nil {
			a.applied = date
		}
		return nil
	}
	if _, err := time.Parse(time.DateOnly, a.applied); err != nil && a.applied != "" {
		return wrong("--applied %q: a date is expected, such as 2026-01-31", a.applied)
	}
	return nil
}

// force is what is in force under the flags; without any, the codebook as it is. The
// error is source.Faults where a pack is wrong.
func (p *program) force(book *codebook.Codebook, a *adoptFlags) (*adoption.Force, error) {
	return p.inForce(book, a, false)
}

func (p *program) inForce(book *codebook.Codebook, a *adoptFlags, newest bool) (*adoption.Force, error) {
	if a.pack == "" && a.ruleSet == 0 {
		return &adoption.Force{Book: book}, nil
	}
	stack := &adoption.Stack{}
	if a.pack != "" {
		var err error
		if stack, err = adoption.Load(a.pack, p.rules); err != nil {
			return nil, err
		}
	}
	return stack.In(book, adoption.Options{Applied: a.applied, Newest: newest, RuleSet: a.ruleSet})
}

// again is the flags that a further run needs to review alike, each with a space
// after it.
func (o *checkFlags) again() string {
	var flags []string
	for _, dir := range o.jurisdictions {
		flags = append(flags, "--rules", dir)
	}
	if o.adopt.pack != "" {
		flags = append(flags, "--adopt", o.adopt.pack)
	}
	if o.adopt.applied != "" {
		flags = append(flags, "--applied", o.adopt.applied)
	}
	if o.adopt.ruleSet != 0 {
		flags = append(flags, "--rule-set", strconv.Itoa(o.adopt.ruleSet))
	}
	out := ""
	for _, f := range flags {
		if strings.ContainsAny(f, " \t'\"$&;()<>|*?`\\") {
			f = "'" + strings.ReplaceAll(f, "'", `'\''`) + "'"
		}
		out += f + " "
	}
	return wording.Plain(out)
}

// given tells whether any of the flags changes which checks hold.
func (a *adoptFlags) given() bool { return a.pack != "" || a.ruleSet != 0 }

// amendedBook is the project's own checks, with those of folders, as the flags have them.
func (p *program) amendedBook(a *adoptFlags, folders ...string) (*codebook.Codebook, error) {
	book, err := p.loadBook(folders...)
	if err != nil {
		return nil, err
	}
	force, err := p.force(book, a)
	if err != nil {
		return nil, inputOf(err)
	}
	return force.Book, nil
}

// inputOf is an error as the user's where it has faults, else as the program's.
func inputOf(err error) error {
	if len(faultsOf(err)) > 0 {
		return &exit{exitInput, err}
	}
	return failed(err)
}

// showAdopted shows what is in force for a job.
func (p *program) showAdopted(out io.Writer, path, format string, a *adoptFlags, outside outside) error {
	if err := outside.wanting(); err != nil {
		return err
	}
	book, err := p.loadBook()
	if err != nil {
		return err
	}
	force, err := p.force(book, a)
	j, unread := outside.load(path)
	faults := append(faultsOf(err), faultsOf(unread)...)
	switch {
	case len(faults) > 0:
		return &exit{exitInput, faults}
	case err != nil:
		return failed(err)
	}
	if format == "json" {
		return report.AdoptedJSON(out, force.Job(j), force.Book)
	}
	return report.Adopted(out, force.Job(j), force.Book)
}

// provePack loads a pack with the layers below it and, given a folder of jobs, runs
// the examples of every check that they amend or add, under them.
func (p *program) provePack(out io.Writer, a *adoptFlags, jobs string) error {
	book, err := p.loadBook()
	if err != nil {
		return err
	}
	force, err := p.inForce(book, a, true)
	if err != nil {
		return inputOf(err)
	}
	var checks []*codebook.Check
	ran := 0
	for _, c := range force.Book.Checks {
		if len(c.Amended) > 0 || c.Since == 0 && len(c.Examples) > 0 {
			checks = append(checks, c)
			ran += len(c.Examples)
		}
	}
	if jobs == "" {
		fmt.Fprintf(out, "%s loaded; --jobs DIR runs the examples\n", count(len(checks), "check"))
		return nil
	}
	tables, err := p.loadTables()
	if err != nil {
		return err
	}
	faults := proof.New(jobs, force.Book, tables).Under(force.Job).Faults(checks)
	for _, f := range faults {
		fmt.Fprintln(out, visible(f.String()))
	}
	fmt.Fprintf(out, "%s, %s run, %d wanting\n", count(len(checks), "check"), count(ran, "example"), len(faults))
	if len(faults) > 0 {
		return &exit{code: exitOutstanding}
	}
	return nil
}
