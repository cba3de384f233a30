package main

import (
	"fmt"
	"runtime"

	"github.com/spf13/cobra"

	"shoreward/internal/deck"
)

const version = "0.1.0"

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version of the program and of the plans it reads",
		Args:  exactly(),
		RunE: func(c *cobra.Command, _ []string) error {
			_, err := fmt.Fprintf(c.OutOrStdout(), "shoreward %s, plans %s, %s\n", version, deck.SchemaName, runtime.Version())
			return err
		},
	}
}
