module example.com/steelyard/examples

go 1.24.0

require example.com/steelyard v0.0.0

replace example.com/steelyard => ../
