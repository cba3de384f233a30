package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"shoreward/internal/audit"
	"shoreward/internal/deck"
	"shoreward/internal/plan"
)

func auditCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "audit DIR/plan.json",
		Short: "Prove a plan again from its file alone",
		Long: `Take a plan.json from anywhere, trust no result in it, and prove the deck again:
cover, clashes, the load path from sheet to ground, every member, heights, what holds
the deck sideways, and that its panels can be cut as listed. Each failing member is
named with where and by how much.

Of stored storeys the balance of loads at every slab, and the reshores, are proven
again; strengths, stiffnesses and capacities are taken as stored, and that is said.

The slab, the parts' values and the rules are taken as the file has them: compare
them with your drawings. If the results stored in the file are not those of its deck,
that is said too.`,
		Example: `  shoreward audit out/plan.json`,
		Args:    exactly("DIR/plan.json"),
		RunE: func(c *cobra.Command, args []string) error {
			doc, err := plan.ReadDocument(args[0])
			if err != nil {
				return err
			}
			return auditAll(c.OutOrStdout(), doc)
		},
	}
}

func auditAll(w io.Writer, doc *deck.Document) error {
	if len(doc.Pours) == 0 {
		return fmt.Errorf("the plan has no pours: there is nothing to prove")
	}
	style := doc.Job.Style
	good, checks := true, 0
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if p.Refused != "" {
			good = false
			fmt.Fprintf(w, "%s: has no deck: %s\n", p.Name, p.Refused)
			continue
		}
		found, err := audit.Run(doc, p)
		if err != nil {
			return fmt.Errorf("pour %s cannot be audited: %w", p.Name, err)
		}
		found.Findings = append(audit.Cuts(doc, i), found.Findings...)
		checks += len(found.Checks)
		if bad := failures(found.Findings); len(bad) > 0 {
			good = false
			printFailures(w, p.Name, bad, style, len(bad))
		} else if c, ok := worst(found.Checks); ok {
			fmt.Fprintf(w, "%s: %d checks hold; worst %s: %s\n", p.Name, len(found.Checks), ratio(c.Ratio), checkText(c, style))
		} else {
			good = false
			fmt.Fprintf(w, "%s FAILS: the deck has no member that could be checked\n", p.Name)
		}
		for _, d := range plan.Differences(p.Audit, found) {
			fmt.Fprintf(w, "  stored results differ: %s\n", d)
		}
	}
	if doc.Storeys != nil {
		looked, bad := audit.Storeys(doc)
		for _, b := range bad {
			good = false
			fmt.Fprintf(w, "storeys FAIL: %s\n", b)
		}
		if len(bad) == 0 {
			fmt.Fprintf(w, "storeys: the balance of loads and the ratings of reshores hold, %d of them; strengths, stiffnesses, capacities and answers are as stored, not proven again\n", looked)
		}
	}
	if !good {
		fmt.Fprintln(w, "The plan FAILS.")
		return errFails
	}
	fmt.Fprintf(w, "Every check holds: %d of them.\n", checks)
	return nil
}
