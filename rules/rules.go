// Package rules embeds the codes as data: the checks, one a file, in a folder
// for each discipline, and the tables under tables/.
package rules

import "embed"

// FS holds every check and table file.
//
//go:embed scope.toml */*.toml tables/*/*.toml
var FS embed.FS
