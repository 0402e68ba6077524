"""Every sentence a player reads, made from values; signs, words and languages are its renderers."""
