"""What can be bought: materials, shelves of stock, motors."""
