// Package examples holds jobs to try the program on. All of them are invented.
package examples

import _ "embed"

// HeronCourtFile is the file that HeronCourt is in.
const HeronCourtFile = "heron-court.yaml"

// HeronCourt is a five-storey concrete frame: the job of `shoreward demo`.
//
//go:embed heron-court.yaml
var HeronCourt []byte

// PloverMill is a floor with beams both ways, a drop panel and steps in its top.
//
//go:embed plover-mill.yaml
var PloverMill []byte

// TernStreet is a tower in cycles of two days: the job for `shoreward storeys`.
//
//go:embed tern-street.yaml
var TernStreet []byte
