module invented

go 1.26.0
