// Package schema embeds the JSON Schemas (draft-07) of the files that the
// program reads and writes.
package schema

import "embed"

// FS holds every schema by its file name.
//
//go:embed *.json
var FS embed.FS
