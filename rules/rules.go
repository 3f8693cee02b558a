// Package rules embeds the codes as data: the checks, one a file, in a folder
// for each discipline, the tables under tables/ and, under terms/, the terms that are
// expressions over others.
package rules

import "embed"

// FS holds every check, table and term file.
//
//go:embed scope.toml */*.toml tables/*/*.toml terms/*/*.toml
var FS embed.FS
