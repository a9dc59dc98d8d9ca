// replaced by the part's first source
