// Package adoption reads what authorities have adopted: packs, one TOML file each,
// laid over one another from the state to the county and the city. It says which
// editions are in force and gives the codebook as the authority amends it. It knows
// checks and files; it holds no job against them and writes no report.
package adoption

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// packFile is a pack as its TOML file writes it (schema/pack.schema.json).
type packFile struct {
	Name      string  `toml:"name"`
	Level     string  `toml:"level"`
	Within    string  `toml:"within"`
	Ordinance string  `toml:"ordinance"`
	RuleSet   int     `toml:"rule_set"`
	Adopts    []adopt `toml:"adopts"`
	Amends    []amend `toml:"amends"`
	Asks      []ask   `toml:"asks"`
	Place     struct {
		WindSpeed  string `toml:"wind_speed"`
		GroundSnow string `toml:"ground_snow"`
		RecordLow  string `toml:"record_low"`
		DesignHigh string `toml:"design_high"`
		By         string `toml:"by"`
	} `toml:"place"`
}

type adopt struct {
	Code    string `toml:"code"`
	Edition string `toml:"edition"`
	From    string `toml:"from"`
	By      string `toml:"by"`
}

type amend struct {
	Check      string               `toml:"check"`
	From       string               `toml:"from"`
	By         string               `toml:"by"`
	Title      string               `toml:"title"`
	When       string               `toml:"when"`
	AlsoWhen   string               `toml:"also_when"`
	AtMost     string               `toml:"at_most"`
	AtLeast    string               `toml:"at_least"`
	Equals     string               `toml:"equals"`
	Require    string               `toml:"require"`
	Limits     []codebook.LimitText `toml:"limit"`
	Finding    string               `toml:"finding"`
	Remedy     string               `toml:"remedy"`
	Because    string               `toml:"because"`
	Provenance string               `toml:"provenance"`
	Severity   codebook.Severity    `toml:"severity"`
	Editions   map[string][]string  `toml:"editions"`
	Withdrawn  bool                 `toml:"withdrawn"`
	Examples   []codebook.Example   `toml:"example"`
}

type ask struct {
	Title    string             `toml:"title"`
	Name     string             `toml:"name"`
	Paper    string             `toml:"paper"`
	Sealed   bool               `toml:"sealed"`
	Each     string             `toml:"each"`
	Require  string             `toml:"require"`
	When     string             `toml:"when"`
	Severity codebook.Severity  `toml:"severity"`
	Finding  string             `toml:"finding"`
	Remedy   string             `toml:"remedy"`
	Because  string             `toml:"because"`
	From     string             `toml:"from"`
	By       string             `toml:"by"`
	Examples []codebook.Example `toml:"example"`
}

// pack is a pack that was read, with the rule files beside it.
type pack struct {
	packFile
	id    string // its file name without the ending
	file  *source.File
	index *source.Index
	rules []*source.File
}

// Levels of authorities, the widest first.
var Levels = []string{"state", "county", "city"}

// Stack is the packs that hold at a place, the widest first.
type Stack struct {
	packs []*pack
}

// shelf is a folder of packs.
type shelf struct {
	fsys  fs.FS
	shown string // how a user names the folder
}

// folder is where the project's own packs stand among its rules.
const folder = "packs"

// Names lists the packs that come with the program.
func Names(own fs.FS) []string {
	files, _ := fs.Glob(own, folder+"/*.toml") // the pattern is good
	for i, f := range files {
		files[i] = strings.TrimSuffix(path.Base(f), ".toml")
	}
	return files
}

// Load reads a pack and those that it is laid over: a file, where the name ends in
// .toml, or one of those that come with the program. The error is source.Faults where
// a file is wrong.
func Load(name string, own fs.FS) (*Stack, error) {
	shipped, err := fs.Sub(own, folder)
	if err != nil {
		return nil, err
	}
	shelves := []shelf{{shipped, folder}}
	id := name
	if strings.HasSuffix(name, ".toml") {
		dir := filepath.Dir(name)
		shelves = append([]shelf{{os.DirFS(dir), filepath.ToSlash(dir)}}, shelves...)
		id = strings.TrimSuffix(filepath.Base(name), ".toml")
	}
	s := &Stack{}
	var faults source.Faults
	at := source.Fault{Message: fmt.Sprintf("there is no pack %q", name)}
	for id != "" {
		p, found, more := read(id, shelves)
		if !found {
			at.Expected = "a file that ends in .toml, or one of " + strings.Join(Names(own), ", ")
			at.Nearest, _ = quantity.Nearest(id, Names(own))
			return nil, append(faults, at)
		}
		if len(more) > 0 {
			return nil, append(faults, more...)
		}
		if len(s.packs) > 0 {
			above := s.packs[0]
			if slices.Index(Levels, p.Level) >= slices.Index(Levels, above.Level) {
				return nil, append(faults, source.Fault{At: above.index.Of("within").Value,
					Message: fmt.Sprintf("a %s is laid over something wider, and %s is a %s", above.Level, p.Name, p.Level)})
			}
		}
		s.packs = append([]*pack{p}, s.packs...)
		at = source.Fault{At: p.index.Of("within").Value, Message: fmt.Sprintf("there is no pack %q", p.Within)}
		id = p.Within
		if !fs.ValidPath(id) && id != "" || strings.Contains(id, "/") {
			return nil, append(faults, source.Fault{At: at.At, Message: fmt.Sprintf("%q is no name of a pack", id), Expected: "the name of a file beside this one without .toml, or of a pack that comes with the program"})
		}
	}
	return s, nil
}

// read reads a pack from the first shelf that has it.
func read(id string, shelves []shelf) (*pack, bool, source.Faults) {
	for _, s := range shelves {
		text, err := fs.ReadFile(s.fsys, id+".toml")
		if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
			continue
		}
		file := source.NewFile(path.Join(s.shown, id+".toml"), text)
		if err != nil {
			return nil, true, source.Faults{{At: source.Span{File: file}, Message: "the file cannot be read"}}
		}
		p := &pack{id: id, file: file}
		var faults source.Faults
		if p.index, faults = codebook.Conform(file, "pack.schema.json", &p.packFile); len(faults) > 0 {
			return nil, true, faults
		}
		p.rules, faults = beside(s, id)
		return p, true, faults
	}
	return nil, false, nil
}

// beside reads the rule files in the folder of a pack, laid out as the project's own.
// A file that no rule is read from is refused, since its writer thinks otherwise.
func beside(s shelf, id string) (files []*source.File, faults source.Faults) {
	if _, err := fs.Stat(s.fsys, id); err != nil {
		return nil, nil // most packs have none
	}
	err := fs.WalkDir(s.fsys, id, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".toml" {
			return err
		}
		f := source.NewFile(path.Join(s.shown, name), nil)
		parts := strings.Split(name, "/")
		switch {
		case len(parts) == 3 && parts[1] != "terms" && parts[1] != "tables", len(parts) == 4 && parts[1] == "terms":
		default:
			faults = append(faults, source.Fault{At: source.Span{File: f}, Message: "no rule is read from here",
				Expected: "a check stands in " + id + "/<discipline>/<check>.toml, a term in " + id + "/terms/<kind>/<term>.toml"})
			return nil
		}
		text, err := fs.ReadFile(s.fsys, name)
		if err != nil {
			return err
		}
		files = append(files, source.NewFile(f.Name, text))
		return nil
	})
	if err != nil {
		faults = append(faults, source.Fault{At: source.Span{File: source.NewFile(path.Join(s.shown, id), nil)}, Message: "the folder cannot be read"})
	}
	return files, faults
}

// at is where a table of the pack stands.
func (p *pack) at(under string) codebook.Part {
	return codebook.Part{File: p.file, Index: p.index, Under: under}
}

// span is the place of a key of the pack: its value, or its table.
func (p *pack) span(key string) source.Span {
	place := p.index.Of(key)
	if place.Value.Known() {
		return place.Value
	}
	return place.Best()
}
