// replaced by the first test
