module example.com/steelyard/internal/mutate

go 1.24.0
