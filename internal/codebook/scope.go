package codebook

import (
	"fmt"
	"io/fs"

	"github.com/BurntSushi/toml"
)

// ScopeRow is one thing that a plan reviewer looks at.
type ScopeRow struct {
	ID          string `toml:"id"`
	Discipline  string `toml:"discipline"`
	Requirement string `toml:"requirement"`
	Section     string `toml:"section"`
	Why         string `toml:"why"`   // why no check answers it
	Field       string `toml:"field"` // what to look at on the roof instead

	Checks []*Check // the checks that answer it
}

// Scope reads scope.toml and joins each row with the checks that name it. The
// error names a check that answers a row that is not there.
func (b *Codebook) Scope(fsys fs.FS) ([]ScopeRow, error) {
	text, err := fs.ReadFile(fsys, "scope.toml")
	if err != nil {
		return nil, err
	}
	var file struct {
		Rows []ScopeRow `toml:"row"`
	}
	md, err := toml.Decode(string(text), &file)
	if err != nil {
		return nil, fmt.Errorf("scope.toml: %w", err)
	}
	if u := md.Undecoded(); len(u) > 0 {
		return nil, fmt.Errorf("scope.toml: unknown key %q", u[0].String())
	}
	index := map[string]*ScopeRow{}
	for i := range file.Rows {
		index[file.Rows[i].ID] = &file.Rows[i]
	}
	for _, c := range b.Checks {
		for _, id := range c.Scope {
			if index[id] == nil {
				return nil, fmt.Errorf("check %s answers %s, which scope.toml does not have", c.ID, id)
			}
			index[id].Checks = append(index[id].Checks, c)
		}
	}
	return file.Rows, nil
}
