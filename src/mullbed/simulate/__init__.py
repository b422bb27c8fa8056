"""The engine: joins equations into one day, many days and many members, and keeps the balance."""
