//! Advice held against files: how near it lays them again, and whether what it promises comes true.

mod orders;
mod own_error;
mod promise;
mod shop;
