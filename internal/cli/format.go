package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"plumbrule/internal/format"
	"plumbrule/internal/source"
)

func (p *program) newFormat() *cobra.Command {
	var check bool
	cmd := &cobra.Command{
		Use:   "format FILE...",
		Short: "Lay out job files in one way",
		Long: "Writes TOML files anew with the equals signs of keys that stand together in one column and one empty line before\n" +
			"each table. Space alone changes: keys, values, all that stands behind a # and line ends stay as they are. With --check\n" +
			"nothing is written: the files that would change are named, and the exit code is 1 where there is one.",
		Example: "  plumbrule format job.toml equipment.toml\n  plumbrule format --check job.toml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return wrong("format needs the name of a file")
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
		RunE: func(c *cobra.Command, args []string) error {
			changed, err := laidOut(args)
			if err != nil {
				return &exit{exitInput, err}
			}
			for _, f := range changed {
				fmt.Fprintln(c.OutOrStdout(), visible(filepath.ToSlash(f.Name)))
			}
			if check && len(changed) > 0 {
				return &exit{exitOutstanding, nil}
			}
			if check {
				return nil
			}
			var products []product
			for _, f := range changed {
				products = append(products, file{"format", f.Name, all(f.Text)}.product())
			}
			return put(nil, products...)
		},
	}
	cmd.Flags().BoolVar(&check, "check", false, "write nothing and name the files that would change")
	return cmd
}

// laidOut lists the files that change when they are laid out, with their new
// text. The error has every fault of all of them.
func laidOut(names []string) (changed []*source.File, err error) {
	var faults source.Faults
	for _, name := range names {
		path := filepath.ToSlash(name)
		info, err := os.Stat(name)
		if err == nil && !info.Mode().IsRegular() {
			faults.Add(source.Span{File: &source.File{Name: path}}, "not a regular file")
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			faults.Add(source.Span{File: &source.File{Name: path}}, "the file cannot be read")
			continue
		}
		out, err := format.Text(path, text)
		var told source.Faults
		switch {
		case errors.As(err, &told):
			faults = append(faults, told...)
		case err != nil:
			return nil, err
		case !bytes.Equal(out, text):
			changed = append(changed, &source.File{Name: name, Text: out})
		}
	}
	return changed, faults.Err()
}
