// Package rules embeds the codes as data: the checks, one a file, in a folder
// for each discipline, the tables under tables/, the standard sets of labels and papers
// under sets/, packs of authorities under packs/, what public lists of equipment have in which column under lists/ and,
// under terms/, the terms that are expressions over others.
package rules

import "embed"

// FS holds every check, table, set, description and term file.
//
//go:embed scope.toml */*.toml tables/*/*.toml sets/*/*.toml lists/*/*.toml terms/*/*.toml packs/*/*/*.toml
var FS embed.FS
