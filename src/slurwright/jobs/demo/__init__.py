"""The demo: a made-up player, her takes and her weeks."""
