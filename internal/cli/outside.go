package cli

import (
	"os"

	"github.com/spf13/cobra"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// outside is the folders from which jobs may read besides their own.
type outside []string

func (o *outside) add(c *cobra.Command) {
	c.Flags().StringArrayVar((*[]string)(o), "allow-outside", nil, "let a job include, and take equipment and CSV files, from this `DIR` besides its own folder; may be repeated")
	_ = c.MarkFlagDirname("allow-outside") // the flag is there, one line above
}

// wanting refuses folders that are none.
func (o outside) wanting() error {
	var faults source.Faults
	for _, dir := range o {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			faults = append(faults, source.Fault{At: source.Span{File: &source.File{Name: dir}}, Message: "--allow-outside: there is no such folder"})
		}
	}
	if err := faults.Err(); err != nil {
		return &exit{exitInput, err}
	}
	return nil
}

// tree decodes a job that a stranger may have written.
func (o outside) tree(path string) (*job.Tree, error) {
	return job.LoadConfined(path, o, job.ReadFile)
}

// load is tree and the job that it holds.
func (o outside) load(path string) (*job.Job, error) {
	tree, err := o.tree(path)
	if err != nil {
		return nil, err
	}
	return tree.Job()
}
