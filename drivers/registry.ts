// One line a driver; filled in as they arrive.
export {};
