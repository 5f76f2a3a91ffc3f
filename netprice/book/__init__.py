"""What the shop wrote down: its own file, its products, the storefronts' fee profiles and the carriers' rate cards."""
