package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/bound"
	"plumbrule/internal/draft"
	"plumbrule/internal/equipment"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// equipmentFlags is what the command line of equipment asks for.
type equipmentFlags struct {
	models                  []string
	find, columns, describe string
	output                  string
}

func (p *program) newEquipment() *cobra.Command {
	var o equipmentFlags
	c := &cobra.Command{
		Use:   "equipment LIST",
		Short: "Write types of modules and inverters from a public list of equipment",
		Long: "Reads a public agency's list of equipment, saved as CSV, and writes the models that are named as types of a job, for a file\n" +
			"of equipment. Every value is marked second-hand, and what the list lacks stands open, with where a person finds it.\n" +
			"Without --model, prints what the list has. Which list it is, is told by its headings; other lists are described by --columns.",
		Example: "  plumbrule equipment list.csv --find 420\n" +
			"  plumbrule equipment list.csv --model \"QX-420\" --output equipment/qx-420.toml",
		Args: func(_ *cobra.Command, args []string) error {
			if o.describe == "" && len(args) != 1 || o.describe != "" && len(args) > 0 {
				return wrong("equipment needs the name of one list, or --describe; found %d names", len(args))
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"csv"}, cobra.ShellCompDirectiveFilterFileExt),
		RunE: func(c *cobra.Command, args []string) error {
			if o.describe != "" {
				return p.describeList(c.OutOrStdout(), o.describe)
			}
			return p.equipment(c.OutOrStdout(), args[0], &o)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().StringArrayVar(&o.models, "model", nil, "write this `MODEL`; repeatable; as the list spells it, but for capitals and spaces, the maker before it where two have it")
	c.Flags().StringVar(&o.find, "find", "", "print the models whose maker or name has this `TEXT`")
	c.Flags().StringVar(&o.columns, "columns", "", "what the list has in which column: a description in this `FILE`, in the form that --describe prints")
	c.Flags().StringVar(&o.describe, "describe", "", "print the description of a list that is known: `LIST`")
	c.Flags().StringVar(&o.output, "output", "", "write the types to this `FILE`, whole or not at all")
	return c
}

// describeList prints a description that the program has, for a person who
// describes another list.
func (p *program) describeList(out io.Writer, name string) error {
	names, err := fs.Glob(p.rules, path.Join(equipment.Folder, "*.toml"))
	if err != nil {
		return failed(err)
	}
	var known []string
	for _, file := range names {
		own := strings.TrimSuffix(path.Base(file), ".toml")
		if known = append(known, own); own != name {
			continue
		}
		text, err := fs.ReadFile(p.rules, file)
		if err != nil {
			return failed(err)
		}
		_, err = out.Write(text)
		return err
	}
	return wrong("--describe: there is no list %q; one of %s is expected%s", name, strings.Join(known, ", "), quantity.DidYouMean(name, known))
}

func (p *program) equipment(out io.Writer, name string, o *equipmentFlags) error {
	switch {
	case len(o.models) > 0 && o.find != "":
		return wrong("equipment takes --model or --find, not both")
	case o.output != "" && len(o.models) == 0:
		return wrong("--output: there is nothing to write; --model says what")
	}
	if _, err := os.Lstat(o.output); o.output != "" && !errors.Is(err, fs.ErrNotExist) {
		return wrong("--output %s: there is such a file; another name is expected", o.output)
	}
	list, err := p.readList(name, o.columns)
	if err != nil {
		return err
	}
	if len(o.models) == 0 {
		return printList(out, list, o.find)
	}
	types, err := list.Types(o.models)
	if err != nil {
		return &exit{exitInput, err}
	}
	d, err := document(list, types, filepath.Base(name))
	if err != nil {
		return failed(err)
	}
	if o.output == "" {
		_, err := out.Write(d.TOML())
		return err
	}
	if err := put([]string{name, o.columns}, file{"--output", o.output, all(d.TOML())}.product()); err != nil {
		return err
	}
	fmt.Fprintf(out, "wrote %s: %s\n", wording.Plain(o.output), count(len(types), "type"))
	return nil
}

// readList reads a list by the descriptions of the program, or by the user's.
func (p *program) readList(file, columns string) (*equipment.List, error) {
	descriptions, err := equipment.Descriptions(p.rules, equipment.Folder)
	if err != nil {
		return nil, failed(err)
	}
	if columns != "" {
		text, err := readBounded(columns, bound.FileBytes)
		if err != nil {
			return nil, err
		}
		d, err := equipment.Describe(filepath.ToSlash(columns), text)
		if err != nil {
			return nil, &exit{exitInput, err}
		}
		descriptions = []*equipment.Description{d}
	}
	text, err := readBounded(file, equipment.LargestList)
	if err != nil {
		return nil, err
	}
	list, err := equipment.Read(filepath.ToSlash(file), text, descriptions)
	if err != nil {
		return nil, &exit{exitInput, err}
	}
	return list, nil
}

// readBounded reads a regular file up to one byte beyond a bound, which its
// reader refuses.
func readBounded(name string, most int64) ([]byte, error) {
	fault := func(message string) error {
		return &exit{exitInput, source.Faults{{At: source.Span{File: &source.File{Name: filepath.ToSlash(name)}}, Message: message}}}
	}
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fault("there is no such file")
	case err == nil && !info.Mode().IsRegular():
		return nil, fault("it is not a regular file")
	case err != nil:
		return nil, fault("the file cannot be read")
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, fault("the file cannot be read")
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fault("the file cannot be read")
	}
	return text, nil
}

// printList lists the models of a list with the figures that it gives.
func printList(out io.Writer, list *equipment.List, find string) error {
	entries := list.Find(find)
	if len(entries) == 0 {
		return wrong("--find: no maker and no model of the list has %q", find)
	}
	aligned(out, func(line func(...string)) {
		for _, e := range entries {
			cells := []string{wording.Plain(e.Name), wording.Plain(e.Maker)}
			for _, figure := range list.Figures(e) {
				cells = append(cells, wording.Plain(figure))
			}
			line(cells...)
		}
	})
	fmt.Fprintf(out, "\n%s of %s in %s: %s\n", count(len(entries), "line"), count(len(list.Entries), "line"), list.Name, list.Title)
	if len(list.Lacks) > 0 {
		fmt.Fprintf(out, "The file has no column %s.\n", strings.Join(list.Lacks, ", "))
	}
	return nil
}

// mostTitles bounds what is quoted of the lines above the headings.
const mostTitles = 4

// document writes types as a file of equipment. Keys that the list does not give
// are open.
func document(list *equipment.List, types []*equipment.Type, file string) (*draft.Document, error) {
	d := &draft.Document{Head: []string{
		"From " + file + ", a list of " + list.Title + ".",
		"Every value is second-hand: the makers state them to the list, and nobody has held them against the cut sheets.",
		"Hold each against the maker's cut sheet or the nameplate; open keys are found there too.",
	}}
	for _, title := range list.Titles[:min(len(list.Titles), mostTitles)] {
		d.Head = append(d.Head, "The list says: "+title)
	}
	for _, t := range types {
		note := fmt.Sprintf("second-hand: %s, %s:%d", strings.TrimSpace(t.Maker+" "+t.Name), file, t.Line)
		if t.Date != "" {
			note += ", entry of " + t.Date
		}
		table := d.Add(&draft.Table{Key: t.Kind, List: true, Note: note})
		table.Set("name", job.Quote(t.Name))
		for _, v := range t.Values {
			table.Entries = append(table.Entries, draft.Entry{Key: v.Key, Value: v.Text, Note: "second-hand: " + v.Heading})
		}
	}
	j, err := job.Parse(file, append([]byte("project.name = \"list\"\n"), d.TOML()...), nil)
	if err != nil {
		return nil, err
	}
	for i, t := range types {
		kind, _ := job.Model().Field(t.Kind)
		for _, f := range kind.Table.Fields {
			slot, ok := j.Slot(job.Join(job.Join(t.Kind, t.Name), f.Key))
			if !ok || f.Table != nil || states(d.Tables[i], f.Key) {
				continue
			}
			open := draft.Entry{Key: f.Key, Says: []string{wording.MeansAndWhere(slot)}, Note: wording.Form(slot)}
			if left, doubted := t.Doubts[f.Key]; doubted {
				open.Says = append(open.Says, fmt.Sprintf("the list says %s, left open: %s", left.Says, left.Why))
			}
			d.Tables[i].Entries = append(d.Tables[i].Entries, open)
		}
	}
	return d, nil
}

func states(t *draft.Table, key string) bool {
	for _, e := range t.Entries {
		if e.Key == key {
			return true
		}
	}
	return false
}
