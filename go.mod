module shoreward

go 1.26
