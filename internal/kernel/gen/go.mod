module sinew/internal/kernel/gen

go 1.26.0
