package job

import (
	"fmt"
	"maps"
	"path"
	"slices"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Sort tells the jobs among TOML files from what is none, by what the files say:
// files that others include and that state no project and arrays of their own,
// lists of equipment, packs of authorities, rule files, deviations and lists of an
// office, and files that have no key of a job. Of each that is none it says what
// it is, after its path. What cannot be read, or has keys of a job however
// misspelt, is a job: its faults are then told, and not passed over.
func Sort(paths []string, open Open) (jobs, others []string) {
	tops := make([]map[string]any, len(paths))
	included := map[string]string{} // by whom
	for i, p := range paths {
		tops[i] = top(p, open)
		for _, name := range textsOf(tops[i]["include"]) {
			if at := path.Join(path.Dir(p), name); at != p && included[at] == "" {
				included[at] = p
			}
		}
	}
	for i, p := range paths {
		what := ""
		if tops[i] != nil {
			what = noJob(tops[i], included[p])
		}
		if what == "" {
			jobs = append(jobs, p)
		} else {
			others = append(others, fmt.Sprintf("%s (%s)", p, what))
		}
	}
	return jobs, others
}

// top is the table of a file; nil where it has none.
func top(path string, open Open) map[string]any {
	text, err := open(path)
	if err != nil {
		return nil
	}
	f := source.NewFile(path, text)
	if _, err := source.NewIndex(f); err != nil { // which bounds what is decoded
		return nil
	}
	var out map[string]any
	if err := toml.Unmarshal(f.Text, &out); err != nil {
		return nil
	}
	if out == nil {
		out = map[string]any{}
	}
	return out
}

func textsOf(v any) (out []string) {
	switch v := v.(type) {
	case string:
		out = append(out, v)
	case []any:
		for _, x := range v {
			out = append(out, textsOf(x)...)
		}
	}
	return out
}

// rootKeys lists the keys that a job may have at its top.
func rootKeys() []string {
	keys := []string{includeKey, equipmentKey}
	for _, f := range slices.Concat(Model().Fields, Model().Patterns) {
		keys = append(keys, f.Key)
	}
	return keys
}

// otherFiles lists what else is written as TOML, by the keys that a file of the
// kind has at its top and no job has. All of one row must be there.
var otherFiles = []struct {
	what string
	keys []string
}{
	{"a rule file", []string{"title", "severity"}},
	{"a term", []string{"meaning", "value"}},
	{"a pack", []string{"level", "ordinance"}},
	{"a pack", []string{"adopts"}},
	{"a pack", []string{"amends"}},
	{"a standing list", []string{"entry"}},
}

// noJob says what a file is that is no job; "" for a job.
func noJob(top map[string]any, by string) string {
	known := rootKeys()
	mine := slices.DeleteFunc(slices.Collect(maps.Keys(top)), func(key string) bool { return !slices.Contains(known, key) })
	// A job of its own may be included too, such as the plan of what was built.
	if by != "" && (top["project"] == nil || top["array"] == nil) {
		return "included by " + by
	}
	for _, x := range otherFiles {
		if top["project"] == nil && !slices.ContainsFunc(x.keys, func(key string) bool { return top[key] == nil }) {
			return x.what
		}
	}
	if len(mine) > 0 && len(mine) == len(top) {
		switch {
		case !slices.ContainsFunc(mine, func(key string) bool { return !slices.Contains(equipmentKinds, key) }):
			return "equipment"
		case len(mine) == 1 && mine[0] == "deviation":
			return "deviations"
		}
	}
	if len(mine) > 0 {
		return ""
	}
	if len(top) == 0 {
		return "empty"
	}
	for key := range top {
		if _, near := quantity.Nearest(key, known); !near {
			return "no key of a job"
		}
	}
	return "" // all are misspelt
}
