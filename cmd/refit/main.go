package main

import (
	"encoding/json"
	"fmt"
	"os"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/proof"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

func flat(v any, key string, out map[string]any) {
	switch x := v.(type) {
	case map[string]any:
		for k, c := range x {
			flat(c, job.Join(key, k), out)
		}
	case []map[string]any:
		for i, c := range x {
			name, ok := c["name"].(string)
			if !ok {
				name = fmt.Sprint(i + 1)
			}
			flat(c, job.Join(key, name), out)
		}
	default:
		if !strings.HasSuffix(key, ".name") && key != "include" && key != "standard" {
			out[key] = v
		}
	}
}

func load(files ...string) map[string]any {
	out := map[string]any{}
	for _, f := range files {
		var m map[string]any
		if _, err := toml.DecodeFile(f, &m); err != nil {
			panic(err)
		}
		flat(m, "", out)
	}
	return out
}

type fix struct {
	File string
	Line int
	Set  map[string]any
	Drop []string
	Fail string
}

func main() {
	book, err := codebook.Load(rules.FS)
	if err != nil {
		panic(err)
	}
	tables, err := table.Load(rules.FS, "tables")
	if err != nil {
		panic(err)
	}
	removed := map[string]map[string]any{}
	for _, j := range []string{"house", "barn"} {
		old := load("/tmp/old-" + j + ".toml")
		now := load("testdata/jobs/" + j + ".toml")
		if j == "house" {
			for k, v := range load("/tmp/old-equipment.toml") {
				old[k] = v
			}
			for k, v := range load("testdata/jobs/equipment.toml") {
				now[k] = v
			}
		}
		for k := range now {
			delete(old, k)
		}
		for k := range old {
			if strings.HasPrefix(k, "label.") || strings.HasPrefix(k, "document.") || strings.Contains(k, ".lug.") || strings.Contains(k, "zone_span") {
				delete(old, k)
			}
		}
		removed[j] = old
	}
	var fixes []fix
	bench := proof.New("testdata/jobs", book, tables)
	ids := map[string]bool{}
	for _, f := range bench.Faults(book.Checks) {
		ids[f.At.File.Name] = true
	}
	ok := func(c *codebook.Check, x codebook.Example) bool {
		cc := *c
		cc.Examples = []codebook.Example{x}
		outcomes, err := bench.Run(&cc, x)
		if err != nil {
			return false
		}
		if len(outcomes) == 0 {
			return false
		}
		for _, o := range outcomes {
			if string(o.Result) != string(x.Expect) {
				return false
			}
		}
		return true
	}
	for _, c := range book.Checks {
		for _, x := range c.Examples {
			if x.Job != "house" && x.Job != "barn" || ok(c, x) {
				continue
			}
			at := x.At
			f := fix{File: at.File.Name, Line: strings.Count(string(at.File.Text[:at.Start]), "\n") + 1, Set: map[string]any{}}
			rem := removed[x.Job]
			y := x
			y.Unset = nil
			gone := map[string]bool{}
			for _, k := range x.Unset {
				kk := k
				if parts, o := job.SplitKey(k); o {
					kk = ""
					for _, p := range parts {
						kk = job.Join(kk, p)
					}
				}
				gone[kk] = true
				if _, was := rem[kk]; was {
					// kept when the new job has it by like
					f.Drop = append(f.Drop, k)
					continue
				}
				y.Unset = append(y.Unset, k)
			}
			found := false
			try := func(drop []string, unset []string) bool {
				z := y
				z.Unset = unset
				if ok(c, z) {
					f.Drop, y = drop, z
					return true
				}
				all := map[string]any{}
				for k, v := range x.Set {
					all[k] = v
				}
				var added []string
				for k, v := range rem {
					skip := gone[k]
					for s := range x.Set {
						if s == k || strings.HasPrefix(k, s+".") {
							skip = true
						}
					}
					for _, u := range x.Unset {
						if strings.HasPrefix(k, u+".") || strings.HasPrefix(k, strings.ReplaceAll(u, `"`, "")+".") {
							skip = true
						}
					}
					if !skip {
						all[k] = v
						added = append(added, k)
					}
				}
				sort.Strings(added)
				z.Set = all
				if !ok(c, z) {
					return false
				}
				// by halves, then one by one
				for size := (len(added) + 1) / 2; size >= 1; size /= 2 {
					for i := 0; i < len(added); {
						end := min(i+size, len(added))
						less := map[string]any{}
						for k, v := range z.Set {
							less[k] = v
						}
						for _, k := range added[i:end] {
							delete(less, k)
						}
						w := z
						w.Set = less
						if ok(c, w) {
							z = w
							added = append(append([]string{}, added[:i]...), added[end:]...)
						} else {
							i = end
						}
					}
				}
				for _, k := range added {
					f.Set[k] = rem[k]
				}
				f.Drop = drop
				return true
			}
			found = try(f.Drop, y.Unset) || try(nil, x.Unset)
			if !found {
				f.Fail = "no fix"
			}
			fixes = append(fixes, f)
		}
	}
	text, _ := json.MarshalIndent(fixes, "", " ")
	os.WriteFile("/tmp/fixes.json", text, 0o644)
	n := 0
	for _, f := range fixes {
		if f.Fail != "" {
			n++
			fmt.Println("FAIL", f.File, f.Line)
		}
	}
	fmt.Println(len(fixes), n)
}
