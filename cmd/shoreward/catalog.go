package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"shoreward/internal/catalog"
)

// kinds of part in the order of a deck, from the top down.
var kinds = []catalog.Kind{catalog.Sheet, catalog.Beam, catalog.Lumber, catalog.Prop, catalog.Head, catalog.Tripod, catalog.Wedge,
	catalog.Guard, catalog.Kicker, catalog.Tie, catalog.Brace, catalog.Box}

func catalogCommand() *cobra.Command {
	var file string
	c := &cobra.Command{
		Use:   "catalog [ID | systems | KIND]",
		Short: "List the equipment, or explain one part or system",
		Long: `Without a word, list the systems and parts that the program knows. With the id of a
part or system, print each of its values with where it comes from and how sure it is.
With "systems" or a kind (` + kindList() + `), list those.

Values marked "memory" were not seen in a published text: confirm them against the
standard. A catalogue of your own adds parts or puts your figures in place of these.`,
		Example: `  shoreward catalog
  shoreward catalog prop
  shoreward catalog timber-beam
  shoreward catalog --file my-gear.yaml prop`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return exactly("ID")(c, args)
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			cat, err := catalog.Load(file)
			if err != nil {
				return err
			}
			w := c.OutOrStdout()
			word := strings.Join(args, "")
			for _, k := range kinds {
				if word == string(k) {
					return printParts(w, cat.List(k))
				}
			}
			switch word {
			case "":
				fmt.Fprintln(w, "Systems")
				if err := printSystems(w, cat); err != nil {
					return err
				}
				for _, k := range kinds {
					fmt.Fprintf(w, "\nParts: %s\n", k)
					if err := printParts(w, cat.List(k)); err != nil {
						return err
					}
				}
				return nil
			case "systems":
				return printSystems(w, cat)
			}
			rows, err := cat.Explain(word)
			if err != nil {
				return err
			}
			return printRows(w, rows)
		},
	}
	c.Flags().StringVar(&file, "file", "", "a catalogue of your own, on top of the program's")
	return c
}

func kindList() string {
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = string(k)
	}
	return strings.Join(words, ", ")
}

func printSystems(w io.Writer, cat *catalog.Catalog) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, s := range cat.SystemList() {
		fmt.Fprintf(t, "  %s\t%s\tbasis %s\n", s.ID, s.Name, strings.Join(s.Bases, ", "))
	}
	return t.Flush()
}

func printParts(w io.Writer, parts []*catalog.Part) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, p := range parts {
		fmt.Fprintf(t, "  %s\t%s\n", p.ID, p.Name)
	}
	return t.Flush()
}

func printRows(w io.Writer, rows []catalog.ExplainRow) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		text := r.Metric
		if r.US != r.Metric {
			text += " = " + r.US
		}
		if r.Evidence != "" || r.Source != "" {
			text += fmt.Sprintf("\t[%s] %s", r.Evidence, r.Source)
		}
		fmt.Fprintf(t, "%s\t%s\n", r.Name, text)
	}
	return t.Flush()
}
