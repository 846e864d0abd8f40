import { render } from "preact";
import { Frame } from "./frame";
import { follow } from "./place";
import "./style.css";

follow();
const page = document.getElementById("page");
if (page) render(<Frame />, page);
