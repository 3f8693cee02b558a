package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/proof"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// proveFlags is what the command line of rules --prove asks for.
type proveFlags struct {
	jobs      string
	survivors string // file of the survivors that are allowed; "" for none
	mutants   bool
	json      bool
}

// prove loads rules strictly and, given a folder of jobs, runs their examples
// and holds the mutants of each check against them. An example that does not
// hold is outstanding, and given a list of survivors, what differs from that.
func (p *program) prove(out io.Writer, args, folders []string, o proveFlags) error {
	book, checks, tables, err := p.provable(args, folders)
	if err != nil {
		return err
	}
	allowed, err := readSurvivors(o.survivors)
	if err != nil {
		return err
	}
	r := proved{Checks: len(checks), Unused: []spot{}, Proofs: []provedCheck{}}
	for _, t := range book.UnusedTerms() {
		r.Unused = append(r.Unused, at(t.At, fmt.Sprintf("no check and no term uses the term %s of %s", t.Name, t.Kind().Name)))
	}
	if o.jobs == "" {
		if o.json {
			return writeJSON(out, r)
		}
		for _, u := range r.Unused {
			fmt.Fprintln(out, visible(u.String()))
		}
		fmt.Fprintf(out, "%s loaded; --jobs DIR runs the examples\n", count(len(checks), "check"))
		return nil
	}
	bench := proof.New(o.jobs, book, tables)
	proofs, err := bench.Prove(checks, o.mutants)
	if err != nil {
		return failed(err)
	}
	for _, pr := range proofs {
		r.add(pr, allowed)
	}
	r.Stale = []string{}
	for name := range allowed {
		if id, _, _ := strings.Cut(name, " "); !allowed[name] && slices.ContainsFunc(checks, func(c *codebook.Check) bool { return c.ID == id }) {
			r.Stale = append(r.Stale, name)
		}
	}
	slices.Sort(r.Stale)
	if o.json {
		err = writeJSON(out, r)
	} else {
		r.print(out, o)
	}
	if err == nil && (r.Wanting > 0 || o.survivors != "" && (r.Unlisted > 0 || len(r.Stale) > 0)) {
		err = &exit{code: exitOutstanding}
	}
	return err
}

// provable finds what is proven: the project's own checks where nothing is
// named, those of a rule set (a folder with scope.toml), or those of folders and
// files that join the project's own.
func (p *program) provable(args, folders []string) (book *codebook.Codebook, checks []*codebook.Check, tables *table.Set, err error) {
	if root, ids, whole := ruleSet(args); whole && len(folders) == 0 {
		rules := p.rules
		if root != "" {
			rules = os.DirFS(root)
		}
		if book, err = codebook.Load(rules); err == nil {
			tables, err = table.Load(rules, "tables")
		}
		if err == nil {
			_, err = book.Scope(rules)
		}
		if err != nil {
			return nil, nil, nil, &exit{exitInput, err}
		}
		for _, c := range book.Checks {
			if ids == nil || slices.Contains(ids, c.ID) {
				checks = append(checks, c)
			}
		}
		return book, checks, tables, nil
	}
	if book, err = p.loadBook(folders...); err != nil {
		return nil, nil, nil, err
	}
	if tables, err = p.loadTables(); err != nil {
		return nil, nil, nil, err
	}
	var files []string
	var faults source.Faults
	for _, a := range args {
		if info, err := os.Stat(a); err != nil || !info.IsDir() {
			files = append(files, a)
			continue
		}
		list, err := ruleFilesIn(a)
		files, faults = append(files, list...), append(faults, faultsOf(err)...)
	}
	if err := faults.Err(); err != nil {
		return nil, nil, nil, &exit{exitInput, err}
	}
	whole, more, err := p.join(book, files)
	if err != nil {
		return nil, nil, nil, err
	}
	return whole, more.Checks, tables, nil
}

// ruleSet finds the folder of a whole rule set, which has scope.toml, that all
// names stand in, with the checks that are named; nil for all. It is the
// project's own, "", where there is no name.
func ruleSet(args []string) (root string, ids []string, whole bool) {
	for i, a := range args {
		dir, id := a, ""
		if strings.HasSuffix(a, ".toml") {
			clean := filepath.ToSlash(filepath.Clean(a))
			parts := strings.Split(clean, "/")
			if len(parts) < 3 {
				return "", nil, false
			}
			dir = filepath.FromSlash(strings.Join(parts[:len(parts)-2], "/"))
			id = strings.TrimSuffix(strings.Join(parts[len(parts)-2:], "/"), ".toml")
		}
		if _, err := os.Stat(filepath.Join(dir, "scope.toml")); err != nil || i > 0 && dir != root {
			return "", nil, false
		}
		if root = dir; id != "" {
			if _, err := os.Stat(a); err != nil {
				return "", nil, false
			}
			ids = append(ids, id)
		}
	}
	return root, ids, true
}

// proved is what was proven, as JSON has it.
type proved struct {
	Checks    int           `json:"checks"`
	Examples  int           `json:"examples"`
	Wanting   int           `json:"wanting"`
	Mutants   int           `json:"mutants"`
	Survivors int           `json:"survivors"`
	Unlisted  int           `json:"unlisted"`
	Stale     []string      `json:"stale"`
	Unused    []spot        `json:"unused"`
	Proofs    []provedCheck `json:"proofs"`
}

// provedCheck is what was proven of one check.
type provedCheck struct {
	ID        string           `json:"check"`
	Examples  int              `json:"examples"`
	Wanting   []spot           `json:"wanting"`
	Open      []spot           `json:"open"`
	Mutants   int              `json:"mutants"`
	Survivors []provedSurvivor `json:"survivors"`
}

type spot struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Says   string `json:"says"`
}

func (p spot) String() string { return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Says) }

func at(s source.Span, says string) spot {
	where := s.Position()
	return spot{where.File, where.Line, where.Column, says}
}

type provedSurvivor struct {
	spot
	Key    string `json:"key"`
	Was    string `json:"was"`
	Is     string `json:"is"`
	Listed bool   `json:"listed"`
}

func (r *proved) add(pr proof.Proof, allowed map[string]bool) {
	c := provedCheck{ID: pr.Check.ID, Examples: len(pr.Check.Examples), Wanting: []spot{}, Open: []spot{}, Mutants: pr.Mutants, Survivors: []provedSurvivor{}}
	for _, f := range pr.Faults {
		c.Wanting = append(c.Wanting, at(f.At, f.Says))
	}
	for _, f := range pr.Open {
		c.Open = append(c.Open, at(f.At, f.Says))
	}
	for _, m := range pr.Survivors {
		name := pr.Check.ID + " " + m.String()
		_, listed := allowed[name]
		if listed {
			allowed[name] = true
		} else {
			r.Unlisted++
		}
		c.Survivors = append(c.Survivors, provedSurvivor{at(m.At, m.String()), m.Key, m.Was, m.Is, listed})
	}
	r.Examples += c.Examples
	r.Wanting += len(c.Wanting)
	r.Mutants += c.Mutants
	r.Survivors += len(c.Survivors)
	r.Proofs = append(r.Proofs, c)
}

func (r *proved) print(w io.Writer, o proveFlags) {
	for _, c := range r.Proofs {
		for _, f := range c.Wanting {
			fmt.Fprintln(w, visible(f.String()))
		}
	}
	for _, c := range r.Proofs {
		if o.mutants {
			for _, f := range c.Open {
				fmt.Fprintln(w, visible(f.String()))
			}
		}
		for _, s := range c.Survivors {
			if !s.Listed {
				fmt.Fprintln(w, visible(fmt.Sprintf("%s:%d:%d: no example notices: %s", s.File, s.Line, s.Column, s.Says)))
			}
		}
	}
	for _, u := range r.Unused {
		fmt.Fprintln(w, visible(u.String()))
	}
	for _, s := range r.Stale {
		fmt.Fprintln(w, visible(fmt.Sprintf("%s: no survivor any more, or no such change: %s", o.survivors, s)))
	}
	fmt.Fprintf(w, "%s, %s run, %d wanting\n", count(r.Checks, "check"), count(r.Examples, "example"), r.Wanting)
	if o.mutants {
		fmt.Fprintf(w, "%s made to the checks, %d noticed by an example, %d not", count(r.Mutants, "change"), r.Mutants-r.Survivors, r.Survivors)
		if o.survivors != "" {
			fmt.Fprintf(w, ", of them %d not listed in %s", r.Unlisted, visible(o.survivors))
		}
		fmt.Fprintln(w)
	}
}

// readSurvivors reads a list of survivors: a line each, as "CHECK KEY: WAS -> IS",
// below a line "# " with the reason that holds until the next one.
func readSurvivors(path string) (map[string]bool, error) {
	out := map[string]bool{}
	if path == "" {
		return out, nil
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, wrong("--survivors %s: the file cannot be read", path)
	}
	file := source.NewFile(filepath.ToSlash(path), text)
	var faults source.Faults
	reason := false
	for i, line := range strings.Split(string(text), "\n") {
		line = strings.TrimSpace(line)
		_, twice := out[line]
		switch {
		case line == "":
		case strings.HasPrefix(line, "#"):
			reason = strings.Trim(line, "# ") != ""
		case !strings.Contains(line, " -> "):
			faults.Add(file.At(i+1, 1), "no survivor; expected CHECK KEY: WAS -> IS, as rules --prove prints it after the check")
		case !reason:
			faults.Add(file.At(i+1, 1), "a survivor stands below a line that begins with # and says why it may stay")
		case twice:
			faults.Add(file.At(i+1, 1), "the survivor is listed twice")
		default:
			out[line] = false
		}
	}
	if err := faults.Err(); err != nil {
		return nil, &exit{exitInput, err}
	}
	return out, nil
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return failed(err)
	}
	return nil
}

func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
