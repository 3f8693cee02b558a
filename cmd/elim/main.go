package main

import (
	"fmt"
	"os"
	"sort"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

func results(r *review.Review) map[string]string {
	out := map[string]string{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		res := string(o.Result)
		if o.Excused != nil {
			res = "excused"
		}
		out[o.Check.ID+" | "+o.Subject.Name] = res
	}
	return out
}

func main() {
	book, err := codebook.LoadProven(rules.FS)
	if err != nil {
		panic(err)
	}
	tables, err := table.LoadProven(rules.FS, "tables")
	if err != nil {
		panic(err)
	}
	tree, err := job.LoadTree(os.Args[2])
	if err != nil {
		fmt.Println(err)
		os.Exit(2)
	}
	s, err := review.NewSession(tree, book, tables, review.Options{})
	if err != nil {
		fmt.Println(err)
		os.Exit(2)
	}
	base := results(s.Review())
	switch os.Args[1] {
	case "dump":
		var keys []string
		for k, v := range base {
			keys = append(keys, k+" = "+v)
		}
		sort.Strings(keys)
		fmt.Println(strings.Join(keys, "\n"))
	case "elim":
		cur := s
		for _, k := range strings.Split(string(must(os.ReadFile(os.Args[3]))), "\n") {
			k = strings.TrimSpace(k)
			if k == "" {
				continue
			}
			next, err := cur.With(job.Edits{Unset: []string{k}})
			if err != nil {
				fmt.Println("ERR ", k, strings.Split(err.Error(), "\n")[0])
				continue
			}
			now := results(next.Review())
			diffs, na := []string{}, []string{}
			for c, v := range base {
				w, ok := now[c]
				if v == w {
					continue
				}
				if v == "not applicable" && !ok {
					continue
				}
				if !ok || w == "not applicable" {
					na = append(na, c)
					continue
				}
				diffs = append(diffs, c+": "+v+" -> "+w)
			}
			for c, w := range now {
				if _, ok := base[c]; !ok && w != "met" && w != "not applicable" {
					diffs = append(diffs, c+": new "+w)
				}
			}
			sort.Strings(diffs)
			sort.Strings(na)
			switch {
			case len(diffs) > 0:
				fmt.Println("KEEP", k, "|", len(diffs), diffs[0])
			case len(na) > 0:
				fmt.Println("NA  ", k, "|", len(na), na[0])
			default:
				fmt.Println("FREE", k)
				cur = next
			}
		}
	}
}

func must(b []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return b
}
