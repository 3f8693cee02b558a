package cli

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/job"
	"plumbrule/internal/remedy"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

func (p *program) newRemedy() *cobra.Command {
	var format, key string
	var apply bool
	c := &cobra.Command{
		Use:   "remedy JOB [NUMBER]",
		Short: "Try what would put comments right, and preview or write the change",
		Long: "Varies the values that the check of a comment declares, step by step from what the job says, and reviews the job with\n" +
			"each. Shows the nearest value that passes, its new utilisation, and every other check that it turns; one that makes\n" +
			"nothing worse is preferred. NUMBER is that of a comment; without it all comments are tried.\n" +
			"With --apply the change is written into the job file, of which everything else stays as it is. A value that comes from\n" +
			"a pattern, such as like, or from an included file is not written.",
		Example: "  plumbrule remedy job.toml 12\n  plumbrule remedy job.toml 12 --apply",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || len(args) > 2 {
				return wrong("remedy needs the name of one job file, then the number of a comment; found %d names", len(args))
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	var o checkFlags
	o.allowed = *usual()
	c.Flags().StringVar(&format, "format", "text", "`FORMAT` of the preview: text or json")
	c.Flags().BoolVar(&apply, "apply", false, "write the change of the comment into the job file")
	c.Flags().StringVar(&key, "key", "", "of several values that may change, the `KEY` of the one that is meant")
	addRules(c, &o.jurisdictions)
	o.adopt.add(c, p)
	o.office.addLeave(c)
	c.Flags().StringVar(&o.date, "date", "", "the `DATE` of the review, which ends of deviations are held against")
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := o.adopt.read(o.date); err != nil {
			return err
		}
		switch {
		case format != "text" && format != "json":
			return wrong("--format %s: text or json is expected", format)
		case apply && len(args) < 2:
			return wrong("--apply needs the number of a comment")
		}
		s, err := p.session(args[0], &o)
		if err != nil {
			return err
		}
		comments := s.Review().Comments()
		if len(args) > 1 {
			comment, _, err := s.Review().ByNumber(args[1])
			if err != nil {
				return &exit{exitInput, source.Faults{{Message: err.Error()}}}
			}
			comments = []*review.Comment{comment}
		}
		var found []*remedy.Remedy
		if err := o.allowed.run(func() (err error) { found, err = remedy.Search(s, comments); return err }); err != nil {
			return failed(err)
		}
		if key != "" {
			if found, err = keyed(found, key); err != nil {
				return &exit{exitInput, source.Faults{{Message: err.Error()}}}
			}
		}
		write := report.Remedies
		if format == "json" {
			write = report.RemediesJSON
		}
		if !apply {
			return write(c.OutOrStdout(), comments, found)
		}
		r, err := chosen(found)
		if err == nil {
			err = applied(args[0], s, r)
		}
		if err != nil {
			if e, coded := err.(*exit); coded {
				return e
			}
			return &exit{exitInput, source.Faults{{Message: err.Error()}}}
		}
		return write(c.OutOrStdout(), comments, []*remedy.Remedy{r})
	}
	return c
}

// session reviews a job so that it can be reviewed again with values changed.
func (p *program) session(path string, o *checkFlags) (*review.Session, error) {
	d, faults, err := p.newDesk(o)
	if err != nil {
		return nil, err
	}
	if err := faults.Err(); err != nil {
		return nil, &exit{exitInput, err}
	}
	var s *review.Session
	err = o.allowed.run(func() error {
		tree, err := o.outside.tree(path)
		if err == nil {
			s, err = review.NewSession(tree, d.force.Book, d.tables, review.Options{Leave: d.office.leave, Under: d.force.Job})
		}
		return err
	})
	switch {
	case len(faultsOf(err)) > 0:
		return nil, &exit{exitInput, err}
	case err != nil:
		return nil, failed(err)
	}
	return s, nil
}

// keyed keeps the remedies that vary one key.
func keyed(found []*remedy.Remedy, key string) ([]*remedy.Remedy, error) {
	var out []*remedy.Remedy
	var keys []string
	for _, r := range found {
		if r.Key == key {
			out = append(out, r)
		}
		keys = append(keys, r.Key)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s is none of what may change: %s", key, strings.Join(keys, ", "))
	}
	return out, nil
}

// chosen is the remedy that is written: the only one that passes, or the only one of
// those that make nothing worse.
func chosen(found []*remedy.Remedy) (*remedy.Remedy, error) {
	var clean, passing []*remedy.Remedy
	for _, r := range found {
		if r.Passes {
			passing = append(passing, r)
			if r.Clean {
				clean = append(clean, r)
			}
		}
	}
	list := clean
	if len(list) == 0 {
		list = passing
	}
	switch len(list) {
	case 0:
		return nil, fmt.Errorf("no value that was tried puts the comment right; nothing was written")
	case 1:
		return list[0], nil
	}
	var keys []string
	for _, r := range list {
		keys = append(keys, r.Key)
	}
	return nil, fmt.Errorf("several values may change; choose one with --key: %s", strings.Join(keys, ", "))
}

// applied writes a remedy into the file of the job, and nothing where the text that
// would come of it does not read as what was tried.
func applied(path string, s *review.Session, r *remedy.Remedy) error {
	text, err := s.Tree().Replaced(r.Key, r.Value)
	if err != nil {
		return fmt.Errorf("%w; nothing was written", err)
	}
	at, err := s.Tree().Written(r.Key)
	if err != nil {
		return err
	}
	now, err := os.ReadFile(path)
	if err != nil || !bytes.HasSuffix(now, at.File.Text) {
		return fmt.Errorf("%s was changed while remedies were tried; nothing was written", path)
	}
	mark := now[:len(now)-len(at.File.Text)] // what stands before the text: a byte order mark
	tree, err := job.Read(at.File.Name, []byte(text), job.ReadFile)
	if err != nil {
		return failed(err)
	}
	read, err := tree.Job()
	if err != nil {
		return failed(err)
	}
	tried, err := r.Session.Tree().Job()
	if err != nil {
		return failed(err)
	}
	if keys, same := job.Changes(tried, read); !same || len(keys) > 0 {
		return fmt.Errorf("the text with the change does not read as what was tried (%s); nothing was written", strings.Join(keys, ", "))
	}
	return put(nil, file{"--apply", path, all(append(bytes.Clone(mark), text...))}.product())
}
