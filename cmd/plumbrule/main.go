// Command plumbrule holds a photovoltaic submittal against the codes.
package main

import (
	"os"

	"plumbrule/internal/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
