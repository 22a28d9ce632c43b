// written below
