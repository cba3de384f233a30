// Command shoreward plans hand-set formwork for concrete slabs: layout, proof of
// every member, drawings, counts.
package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"
)

// Exit statuses, for scripts.
const (
	holds    = 0 // planned, and every check holds
	fails    = 1 // planned, but something fails, is short or was refused
	unusable = 2 // the input cannot be used
)

// errFails ends a command that has said what fails.
var errFails = errors.New("something fails")

func main() { os.Exit(run(os.Args[1:])) }

func run(args []string) int {
	c := rootCommand()
	c.SetArgs(args)
	c.SetOut(os.Stdout)
	switch err := c.Execute(); {
	case err == nil:
		return holds
	case errors.Is(err, errFails):
		return fails
	default:
		fmt.Fprintln(os.Stderr, err)
		return unusable
	}
}

func rootCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "shoreward",
		Short: "Plan hand-set formwork for concrete slabs",
		Long: `Shoreward plans the forms and shores of a cast-in-place slab: plywood on joists
on stringers on adjustable props. From a job file it lays out every pour, proves
every member, draws it and counts the gear.

Start like this:
  shoreward demo                     plan an invented building and look around
  shoreward new -o job.yaml          get a job file to fill in
  shoreward plan job.yaml -o out     plan it

Shoreward is a design aid. Local codes and the project's licensed engineer govern.

The exit status is 0 when every check holds, 1 when something fails, is short or
was refused, and 2 when the input cannot be used.`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.CompletionOptions.DisableDefaultCmd = true
	c.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return usage(c, err) })
	c.AddCommand(versionCommand(), newCommand(), planCommand(), auditCommand(), catalogCommand(), demoCommand(), storeysCommand())
	return c
}

// usage adds to an error of the command line where help is.
func usage(c *cobra.Command, err error) error {
	return fmt.Errorf("%w; `%s --help` explains", err, c.CommandPath())
}

// exactly asks for arguments by name.
func exactly(names ...string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) != len(names) {
			return usage(c, fmt.Errorf("%s needs %d argument(s) %v, got %d", c.CommandPath(), len(names), names, len(args)))
		}
		return nil
	}
}
