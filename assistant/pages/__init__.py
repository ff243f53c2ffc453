"""Every sentence and every screen: built once as blocks, written for terminal, paper and programs."""
